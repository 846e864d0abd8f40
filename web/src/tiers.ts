/** The tiers of a packed case: the base, the tray over it where there is one, the lid where pieces lie in it. */
import type { Schemas } from "./api/client";

type Interior = Schemas["InteriorSection"];
type Block = Schemas["BlockResult"];
type Layer = Schemas["LayerResult"];

export function isLidPad(block: Block): boolean {
  return block.kind.includes("lid");
}

/** Their blocks, in the order of the tiers' numbers. */
export function tierBlocks(interior: Interior): Block[] {
  const below = interior.blocks.filter((block) => !isLidPad(block));
  return [...below, ...interior.blocks.filter((block) => isLidPad(block) && hasPockets(block))];
}

/** What a person calls them. */
export function tierNames(interior: Interior): string[] {
  return tierBlocks(interior).map((block, tier) => (isLidPad(block) ? "Lid" : tier > 0 ? "Tray" : "Base"));
}

/** Whether pieces lie in a lid pad, over its cover. */
export function hasPockets(block: Block): boolean {
  return typeof block.cover_high_m === "number";
}

/** The layers that a block's pieces are cut into: of a lid pad those over its cover. */
export function heldIn(block: Block): Layer[] {
  const cover = block.cover_high_m ?? Number.NEGATIVE_INFINITY;
  return block.layers.filter((layer) => layer.low_m > cover - 1e-6);
}

/** Height at which a tier begins over the floor, metres. */
export function tierFloor(block: Block): number {
  return block.cover_high_m ?? block.low_m;
}
