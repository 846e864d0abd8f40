/** A choice among words. Where the box is too narrow for the words chosen they stand below it in full. */
import type { JSX } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";

/** What a browser's own arrow takes of the box, pixels: the widest of those seen. */
const ARROW = 20;

/** The words chosen, where they are wider than their box; else nothing. */
function cutWords(box: HTMLSelectElement, pen: CanvasRenderingContext2D | null): string {
  const words = box.selectedOptions[0]?.label ?? "";
  const look = getComputedStyle(box);
  const room =
    box.clientWidth - Number.parseFloat(look.paddingLeft) - Number.parseFloat(look.paddingRight) - ARROW;
  if (!pen || box.clientWidth === 0) return "";
  pen.font = look.font;
  return pen.measureText(words).width > room ? words : "";
}

export function Select(props: JSX.IntrinsicElements["select"]) {
  const box = useRef<HTMLSelectElement>(null);
  const [below, setBelow] = useState("");
  // After every rendering: what is chosen, and what there is to choose from, comes from outside.
  useLayoutEffect(() => {
    const select = box.current;
    if (!select) return;
    const pen = document.createElement("canvas").getContext("2d");
    const look = () => setBelow(cutWords(select, pen));
    look();
    const sized = new ResizeObserver(look);
    sized.observe(select);
    select.addEventListener("change", look);
    return () => {
      sized.disconnect();
      select.removeEventListener("change", look);
    };
  });
  return (
    <>
      <select ref={box} {...props} />
      {/* A reader of the screen hears the whole of it from the box. */}
      {below !== "" && (
        <span class="chosen" aria-hidden="true">
          {below}
        </span>
      )}
    </>
  );
}
