/** A verdict in the colour of its word. */
export function Verdict({ word }: { word: string }) {
  return <span class={`verdict ${word.replace(" ", "-")}`}>{word}</span>;
}
