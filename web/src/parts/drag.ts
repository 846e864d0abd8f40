/** A piece moved with the pointer on a drawing, by as much as the pointer moves. */
import { useRef } from "preact/hooks";
import type { Schemas } from "../api/client";
import { held, hold, putDown, type Spot, take } from "../hand";

type Place = Schemas["PlaceResult"];

/** Points of the screen that a hand trembles by before a piece is moved. */
const TREMBLE = 3;

export interface Drag {
  down: (event: PointerEvent, place: Place) => void;
  move: (event: PointerEvent) => void;
  up: (event: PointerEvent) => void;
}

/**
 * `width` is that of the drawing in millimetres; `spotOf` says where a piece is held that was taken at a spot and moved by metres
 * to the right and up on the drawing.
 */
export function useDrag(
  svg: { current: SVGSVGElement | null },
  width: number,
  spotOf: (from: Spot, right: number, up: number) => Spot,
): Drag {
  const begun = useRef<{ x: number; y: number; spot: Spot; moves: boolean } | null>(null);
  return {
    down(event, place) {
      if (event.button !== 0) return;
      take(place);
      const now = held.value;
      if (!now) return;
      begun.current = { x: event.clientX, y: event.clientY, spot: now.spot, moves: false };
      if (event.currentTarget instanceof Element) event.currentTarget.setPointerCapture(event.pointerId);
    },
    move(event) {
      const from = begun.current;
      const pixels = svg.current?.getBoundingClientRect().width ?? 0;
      if (!from || !held.value || pixels === 0) return;
      const [dx, dy] = [event.clientX - from.x, event.clientY - from.y];
      if (!from.moves && Math.hypot(dx, dy) < TREMBLE) return;
      from.moves = true;
      const metres = width / 1000 / pixels;
      hold(spotOf(from.spot, dx * metres, -dy * metres));
    },
    up() {
      const moved = begun.current?.moves ?? false;
      begun.current = null;
      if (moved) void putDown();
    },
  };
}

/** Tenths of a millimetre, as the keys step. */
export function tenths(value: number): number {
  return Math.round(value * 1e4) / 1e4;
}
