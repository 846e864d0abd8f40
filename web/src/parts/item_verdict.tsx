/** One piece of equipment: where it is weak, what it sees there, and how far the design holds it. */
import type { Schemas } from "../api/client";
import type { Job } from "../job";
import { mm } from "../words";
import { FallMap, Legend } from "./fall_map";
import { Drawing } from "./figure";
import { History } from "./history";
import { Verdict } from "./verdict";

type Verification = Schemas["VerificationSection"];
type Item = Schemas["ItemVerdictResult"];

export function ItemDetail({
  job,
  verification,
  item,
}: {
  job: Job;
  verification: Verification;
  item: Item;
}) {
  const falls = item.falls;
  if (!falls) return <p class="faint">Soft goods: no fall is judged.</p>;
  const limit = item.directions.find((direction) => direction.limit_g != null)?.limit_g ?? undefined;
  const spread = verification.spread?.items.find((one) => one.instance === item.instance);
  const vibration = verification.vibration.find((one) => one.instance === item.instance);
  const highest = Math.max(...falls.map.map((point) => point.peak_g ?? 0), 1);
  return (
    <div class="pictures behind">
      <figure>
        <figcaption>
          <b>Every direction of fall</b>
          <span>
            {limit === undefined
              ? `nobody states what it stands; shades are of its own highest, ${highest.toFixed(0)} G`
              : `against the ${limit.toFixed(0)} G it stands`}
            ; the ring is the worst of all landings
          </span>
        </figcaption>
        <FallMap falls={falls} limit={limit ?? highest} name={item.name} />
        {limit !== undefined && <Legend />}
      </figure>
      <figure>
        <figcaption>
          <b>Its worst fall</b>
          <span>
            {falls.worst.words}, {falls.worst.landing}
          </span>
        </figcaption>
        {falls.shock && <History shock={falls.shock} limit={limit} height={verification.drop_height_m} />}
      </figure>
      <figure>
        <figcaption>
          <b>Cushion curve</b>
          <span>of the base foam, its flat falls marked</span>
        </figcaption>
        <Drawing job={job} figure={`cushion-${item.number}`} words={`Cushion curve under ${item.name}`} />
      </figure>
      <figure class="wide">
        <figcaption>
          <b>Flat falls</b>
          <span>with all that leans on it</span>
        </figcaption>
        <Flat item={item} />
      </figure>
      <ul class="wide">
        {falls.held_from.length > 0 && <li>Held to {falls.held_from.map(held).join(", ")}.</li>}
        {spread && (
          <li>
            Over scattered directions, heights, foam and temperature: nine falls in ten from{" "}
            {spread.low_g.toFixed(0)} to {spread.high_g.toFixed(0)} G, half of them under{" "}
            {spread.middle_g.toFixed(0)} G
            {spread.beyond_law ? "; in some the foam is crushed past its law" : ""}.
          </li>
        )}
        {vibration && (
          <li>
            Vibration: <Verdict word={vibration.verdict} />, {vibration.sentence}.
          </li>
        )}
      </ul>
    </div>
  );
}

function held({ limit_g, height_m, is_beyond, lowest_m }: Schemas["HeldFromResult"]): string {
  const limit = `${limit_g.toFixed(0)} G`;
  if (height_m == null) return `${limit} from less than ${mm(lowest_m)}`;
  return `${limit} from ${mm(height_m)}${is_beyond ? " and more" : ""}`;
}

function Flat({ item }: { item: Item }) {
  const number = (value: number | null | undefined, digits = 0) =>
    value == null ? "–" : value.toFixed(digits);
  return (
    <div class="scroll">
      <table>
        <thead>
          <tr>
            <th>Fall</th>
            <th>Verdict</th>
            <th class="number">Area, cm²</th>
            <th class="number">Foam, mm</th>
            <th class="number">Static, kPa</th>
            <th class="number">Own peak, G</th>
            <th class="number">Judged as, G</th>
            <th class="number">Sinks, mm</th>
            <th class="number">Stroke left, %</th>
          </tr>
        </thead>
        <tbody>
          {item.directions.map((direction) => (
            <tr key={direction.direction}>
              <td>{direction.direction}</td>
              <td>
                <Verdict word={direction.verdict} />
              </td>
              <td class="number">{number(direction.area_m2 * 1e4)}</td>
              <td class="number">{number(direction.thickness_m * 1e3)}</td>
              <td class="number">{number(direction.static_stress_pa / 1e3, 2)}</td>
              <td class="number">{number(direction.own_peak_g)}</td>
              <td class="number">
                {number(direction.peak_g)}
                {direction.with && <span class="small"> ({direction.with})</span>}
              </td>
              <td class="number">
                {direction.deflection_m == null ? "–" : number(direction.deflection_m * 1e3)}
              </td>
              <td class="number">
                {direction.bottoming_margin == null ? "–" : number(direction.bottoming_margin * 100)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
