import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { droppedFiles } from "../folder";

interface DropAreaProps {
  onFiles: (files: File[]) => void;
  children: ComponentChildren;
}

/** Where files and folders are dropped; a file field inside does the same by keyboard. */
export function DropArea({ onFiles, children }: DropAreaProps) {
  const [over, setOver] = useState(false);
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the file field inside does the same by keyboard
    <div
      class={over ? "drop over" : "drop"}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        void droppedFiles(event.dataTransfer).then(onFiles);
      }}
    >
      <div class="row">{children}</div>
    </div>
  );
}
