/** Arranging by the keyboard alone: what each key does to a piece that has the focus. */
import type { Schemas } from "../api/client";
import { held, pin, putDown, take, takeBack, turn } from "../hand";

type Place = Schemas["PlaceResult"];

/** Steps of the arrow keys, metres: fine, with Alt; usual; large, with Shift. */
const STEPS = { fine: 1e-4, usual: 1e-3, large: 1e-2 };

/** Degrees of a turn with Alt. */
const OBLIQUE = 5;

/** What an arrow key does, given its step in metres. */
export type Arrows = Partial<
  Record<"ArrowLeft" | "ArrowRight" | "ArrowUp" | "ArrowDown", (step: number) => void>
>;

/** The handler of a piece. */
export function handKeys(place: Place, isPinned: boolean, arrows: Arrows) {
  return (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (held.value?.piece === place.instance) void putDown();
      else take(place);
      return;
    }
    const arrow = arrows[event.key as keyof Arrows];
    const letter = event.key.toLowerCase();
    if (!arrow && !["r", "p", "escape"].includes(letter)) return;
    event.preventDefault();
    take(place);
    if (arrow) arrow(event.shiftKey ? STEPS.large : event.altKey ? STEPS.fine : STEPS.usual);
    else if (letter === "r") turn((event.altKey ? OBLIQUE : 90) * (event.shiftKey ? -1 : 1));
    else if (letter === "p") void pin(!isPinned);
    else takeBack();
  };
}
