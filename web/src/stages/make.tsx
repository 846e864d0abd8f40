/** Make: layers, sheets and the bill. */
import { type Job, result } from "../job";
import { Choices } from "../parts/choices";
import { Drawing } from "../parts/figure";
import { PackedThree } from "../parts/packed_three";
import { money } from "../words";
import { Work } from "../parts/work";

export function MakeStage({ job }: { job: Job }) {
  const shop = result.value?.result?.shop;
  const interior = result.value?.result?.interior;
  if (!shop) {
    return (
      <>
        <Work />
        <Choices job={job} />
      </>
    );
  }
  return (
    <>
      <Work />
      <Choices job={job} />
      <ul class="figures" aria-label="In all">
        <li>
          <b>{money(shop.bill.price)}</b> price
        </li>
        <li>
          <b>{money(shop.bill.cost)}</b> cost
        </li>
        <li>
          <b>{(shop.bill.foam_yield * 100).toFixed(0)} %</b> foam yield
        </li>
        <li>
          <b>{shop.process}</b> process of {shop.shop}
        </li>
      </ul>
      <div class="scroll">
        <table>
          <caption>Bill of {job.name}</caption>
          <thead>
            <tr>
              <th class="number">Line</th>
              <th>What</th>
              <th class="number">Quantity</th>
              <th>Unit</th>
              <th class="number">Total</th>
            </tr>
          </thead>
          <tbody>
            {shop.bill.lines.map((line) => (
              <tr key={line.position}>
                <td class="number">{line.position}</td>
                <td>{line.description}</td>
                <td class="number">{line.quantity.toFixed(2)}</td>
                <td>{line.unit}</td>
                <td class="number">{line.total ? money(line.total) : "—"}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {interior && (
        <>
          <h2>Foam, layer on layer</h2>
          <PackedThree job={job} interior={interior} foamOnly />
        </>
      )}
      <h2>Sheets</h2>
      <div class="pictures">
        {shop.nests.map((nest, index) => (
          <figure key={`nest-${index + 1}`}>
            <figcaption>
              <b>Sheet {index + 1}</b>
              <span>
                {nest.parts.length} {nest.parts.length === 1 ? "part" : "parts"},{" "}
                {nest.cut_length_m.toFixed(1)} m of cut
              </span>
            </figcaption>
            <Drawing
              job={job}
              figure={`nest-${index + 1}`}
              words={`Sheet ${index + 1} with the parts cut from it`}
            />
          </figure>
        ))}
      </div>
      <h2>Layers, from the bottom</h2>
      <div class="pictures">
        {shop.parts.map((part, index) => (
          <figure key={part.id}>
            <figcaption>
              <b>{part.id}</b>
              <span>
                {part.block}, layer {part.number} of {part.of}, {part.foam}
              </span>
            </figcaption>
            <Drawing job={job} figure={`layer-${index + 1}`} words={`Part ${part.id}`} />
          </figure>
        ))}
      </div>
    </>
  );
}
