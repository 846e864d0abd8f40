/** Signing for a failing finding: with a name, a reason, and the margin as it is today. A worse margin later voids it. */
import { useState } from "preact/hooks";
import type { Schemas } from "../api/client";
import { get, set } from "../document";
import { edit } from "../job";
import { Select } from "./select";

export function Concede({ finding }: { finding: Schemas["FindingResult"] }) {
  const protection = finding.domain === "protection";
  const [name, setName] = useState("");
  const [reason, setReason] = useState("");
  const [role, setRole] = useState(protection ? "customer" : "shop");
  const sign = (event: Event) => {
    event.preventDefault();
    const margin = finding.margin;
    const limit = margin?.sense === "at-least" ? "at_least" : "at_most";
    void edit((document) => {
      const list = get(document, "concessions");
      return set(document, `concessions[${Array.isArray(list) ? list.length : 0}]`, {
        code: finding.code,
        place: finding.place,
        ...(margin ? { margin: { found: margin.found, [limit]: margin.limit, unit: margin.unit } } : {}),
        name,
        role,
        reason,
        date: new Date().toISOString().slice(0, 10),
      });
    }, `conceded: ${finding.code} at ${finding.place}, by ${name}`);
  };
  return (
    <details>
      <summary>Concede this</summary>
      <form onSubmit={sign}>
        <div class="fields">
          <label>
            <span>Name of who signs</span>
            <input required value={name} onInput={(event) => setName(event.currentTarget.value)} />
          </label>
          <label>
            <span>For</span>
            <Select
              value={role}
              disabled={protection}
              onChange={(event) => setRole(event.currentTarget.value)}
            >
              <option value="customer">the customer</option>
              <option value="shop">the shop</option>
            </Select>
          </label>
          <label class="wide">
            <span>Reason</span>
            <input required value={reason} onInput={(event) => setReason(event.currentTarget.value)} />
          </label>
        </div>
        {protection && (
          <p class="small">On protection the customer signs, and it prints on the customer’s papers.</p>
        )}
        <p>
          <button type="submit">Sign with name and reason</button>
        </p>
      </form>
    </details>
  );
}
