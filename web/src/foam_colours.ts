/** The two colours that a job asks its foam in: which layer shows which, and how pictures show it. */
import type { Schemas } from "./api/client";
import { type Document, get } from "./document";

type Interior = Schemas["InteriorSection"];
type Shop = Schemas["ShopSummary"];

export interface FoamColour {
  name: string;
  /** sRGB, as the shop states it; none where the shop stocks no such colour. */
  shade: readonly number[] | undefined;
}

export interface FoamColours {
  /** Of the uppermost layer of base and trays. */
  top: FoamColour;
  /** Of the layers below it. */
  floors: FoamColour;
}

/** What the job asks for; nothing where any colour will do. */
export function foamColours(document: Document, shop: Shop | undefined): FoamColours | null {
  const stated = (key: "top" | "floors"): FoamColour | null => {
    const name = get(document, `interior.colours.${key}`);
    if (typeof name !== "string" || name === "") return null;
    const foam = get(document, "foams.base");
    return { name, shade: shop?.colours.find((one) => one.foam === foam && one.name === name)?.shade };
  };
  const [top, floors] = [stated("top"), stated("floors")];
  return top && floors ? { top, floors } : null;
}

/** The colour of every layer that has one, by the layer's id: the lid pad has none. */
export function colourOfLayers(
  interior: Interior,
  colours: FoamColours | null,
): ReadonlyMap<string, FoamColour> {
  const found = new Map<string, FoamColour>();
  if (!colours) return found;
  for (const block of interior.blocks) {
    if (block.kind.includes("lid")) continue;
    block.layers.forEach((layer, index) => {
      found.set(layer.id, index + 1 === block.layers.length ? colours.top : colours.floors);
    });
  }
  return found;
}

/** A fill in which lines and words on it stay readable, in light and dark; none for the plain colour of foam. */
export function foamFill(colour: FoamColour | undefined): { fill: string } | undefined {
  if (!colour?.shade) return undefined;
  return { fill: `color-mix(in srgb, rgb(${colour.shade.join(" ")}) 40%, var(--foam))` };
}
