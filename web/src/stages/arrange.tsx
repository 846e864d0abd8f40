/** Arrange: find places for everything, and see them in plan and in 3D. */
import { useEffect, useMemo, useState } from "preact/hooks";
import { api, must, type Schemas } from "../api/client";
import { type Document, get, isTable } from "../document";
import { type FoamColours, foamColours } from "../foam_colours";
import { held, heldPiece, heldTier, letGo, settle, spotOf, take } from "../hand";
import { type Job, result } from "../job";
import { Alternatives } from "../parts/alternatives";
import { Drawing } from "../parts/figure";
import { ProblemNotice } from "../parts/findings";
import { FoamExtras } from "../parts/foam_extras";
import { FoamKey } from "../parts/foam_key";
import { HandPanel, Refused } from "../parts/hand_panel";
import { LiveSection } from "../parts/live_section";
import { PackedPlan } from "../parts/packed_plan";
import { PackedThree } from "../parts/packed_three";
import { Wishes } from "../parts/wishes";
import { Work } from "../parts/work";
import { mm } from "../words";
import { tierNames } from "../tiers";

type Interior = Schemas["InteriorSection"];

export function ArrangeStage({ job }: { job: Job }) {
  const interior = result.value?.result?.interior;
  return (
    <>
      {job.problem && <ProblemNotice problem={job.problem} />}
      {!job.problem && <Work again />}
      {interior && <Packed key={job.name} job={job} interior={interior} />}
      <Wishes job={job} interior={interior} />
      <FoamExtras job={job} interior={interior} />
    </>
  );
}

/** The pieces that are pinned, as instances. */
function pinnedOf(job: Job): ReadonlySet<string> {
  const found = get(job.document as Document, "wishes.pinned");
  const pins = Array.isArray(found) ? found : [];
  return new Set(
    pins.map((_, index) => {
      const piece = String(get(job.document as Document, `wishes.pinned[${index}].piece`) ?? "");
      return piece.includes("/") ? piece : `${piece}/1`;
    }),
  );
}

/** The colours the job asks its foam in, with the shades of its shop. */
function useFoamColours(job: Job): FoamColours | null {
  const document = job.document as Document;
  const [shops, setShops] = useState<readonly Schemas["ShopSummary"][]>([]);
  const asks = isTable(get(document, "interior.colours"));
  useEffect(() => {
    if (!asks) return;
    must(api.GET("/api/library"))
      .then((library) => setShops(library.shops))
      // Without the library names still stand beside the pictures.
      .catch(() => setShops([]));
  }, [asks]);
  return useMemo(() => {
    const shop = shops.find((known) => known.name === get(document, "shop"));
    return foamColours(document, shop);
  }, [document, shops]);
}

function Packed({ job, interior }: { job: Job; interior: Interior }) {
  // What lies elsewhere now, since another revision came, is taken in hand anew.
  useEffect(() => settle(interior), [interior]);
  useEffect(() => letGo, []);
  const pinned = useMemo(() => pinnedOf(job), [job]);
  const colours = useFoamColours(job);
  return (
    <>
      <Totals interior={interior} />
      <Hand interior={interior} colours={colours} pinned={pinned} />
      <div class="pictures">
        <PackedThree job={job} interior={interior} />
        {result.value?.state === "done" &&
          (["long", "cross"] as const).map((which) => (
            <figure key={which}>
              <figcaption>
                <b>{which === "long" ? "Section along" : "Section across"}</b>
                <span>with the cavities as they are cut</span>
              </figcaption>
              <Drawing job={job} figure={`section-${which}`} words={`${which} section of the packed case`} />
            </figure>
          ))}
      </div>
      <Places interior={interior} pinned={pinned} />
      <Alternatives job={job} />
    </>
  );
}

/** What moves with the hand, apart from what does not, so that a frame draws no more than it must. */
interface HandProps {
  interior: Interior;
  colours: FoamColours | null;
  pinned: ReadonlySet<string>;
}

function Hand({ interior, colours, pinned }: HandProps) {
  const [tier, setTier] = useState(0);
  const names = tierNames(interior);
  useEffect(() => {
    if (heldTier.value >= 0) setTier(heldTier.value);
  }, [heldPiece.value, heldTier.value]);
  return (
    <>
      <div class="split">
        <figure>
          <figcaption>
            <b>Plan</b>
            {names.length > 1 &&
              names.map((name, number) => (
                <button
                  key={name}
                  type="button"
                  aria-pressed={tier === number}
                  onClick={() => {
                    letGo();
                    setTier(number);
                  }}
                >
                  {name}
                </button>
              ))}
            <span>back at the top; the cavity under every item is drawn; foam in mm</span>
          </figcaption>
          <PackedPlan interior={interior} colours={colours} tier={tier} pinned={pinned} />
          <FoamKey colours={colours} />
        </figure>
        <Told interior={interior} pinned={pinned} names={names} />
      </div>
      <Sections interior={interior} colours={colours} pinned={pinned} />
    </>
  );
}

function Told({
  interior,
  pinned,
  names,
}: {
  interior: Interior;
  pinned: ReadonlySet<string>;
  names: readonly string[];
}) {
  const piece = heldPiece.value;
  const place = interior.places.find((known) => known.instance === piece);
  return (
    <div>
      <Refused />
      <HandPanel place={place} names={names} isPinned={pinned.has(piece)} />
    </div>
  );
}

function Sections({ interior, colours, pinned }: HandProps) {
  const now = held.value;
  if (!now) return null;
  const tiers = tierNames(interior).length;
  return (
    <div class="pictures sections">
      {([0, 1] as const).map((axis) => (
        <figure key={axis}>
          <figcaption>
            <b>{axis === 0 ? "Section along, through it" : "Section across, through it"}</b>
            <span>
              foam below and above in mm; drag it along the cut{tiers > 1 ? ", or into another tier" : ""}
            </span>
          </figcaption>
          <LiveSection interior={interior} colours={colours} now={now} axis={axis} pinned={pinned} />
          <FoamKey colours={colours} />
        </figure>
      ))}
    </div>
  );
}

function Totals({ interior }: { interior: Interior }) {
  return (
    <ul class="figures" aria-label="In all">
      <li>
        <b>{interior.places.length}</b> pieces placed
      </li>
      <li>
        <b>{mm(interior.spare_m, 1)}</b> least spare over all cushions
      </li>
      <li>
        <b>{interior.blocks.reduce((sum, block) => sum + block.layers.length, 0)}</b> layers of foam
      </li>
    </ul>
  );
}

function Places({ interior, pinned }: { interior: Interior; pinned: ReadonlySet<string> }) {
  return (
    <div class="scroll">
      <table>
        <caption>Where everything lies, from the middle of the opening and the floor</caption>
        <thead>
          <tr>
            <th class="number">No</th>
            <th>Item</th>
            <th>Up</th>
            <th class="number">Turn</th>
            <th class="number">Along</th>
            <th class="number">Across</th>
            <th class="number">Over the floor</th>
            <th>Pinned</th>
          </tr>
        </thead>
        <tbody>
          {[...interior.places]
            .sort((a, b) => a.number - b.number)
            .map((place) => {
              const spot = spotOf(place);
              return (
                <tr key={place.instance}>
                  <td class="number">{place.number}</td>
                  <td>
                    <button
                      type="button"
                      aria-pressed={heldPiece.value === place.instance}
                      onClick={() => take(place)}
                    >
                      {place.name}
                    </button>
                  </td>
                  <td>{place.up}</td>
                  <td class="number">{place.turn_deg}°</td>
                  <td class="number">{mm(spot.at[0])}</td>
                  <td class="number">{mm(spot.at[1])}</td>
                  <td class="number">{mm(place.box_min_m[2] ?? 0)}</td>
                  <td>{pinned.has(place.instance) ? "pinned" : ""}</td>
                </tr>
              );
            })}
        </tbody>
      </table>
    </div>
  );
}
