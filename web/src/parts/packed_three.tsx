/** The packed case in 3D, its layers stacked or apart. */
import { useEffect, useMemo, useState } from "preact/hooks";
import type { Schemas } from "../api/client";
import type { Job } from "../job";
import { Three } from "./three";

type Interior = Schemas["InteriorSection"];

interface PackedThreeProps {
  job: Job;
  interior: Interior;
  /** Only the foam, as the shop makes it. */
  foamOnly?: boolean;
}

export function PackedThree({ job, interior, foamOnly = false }: PackedThreeProps) {
  const [apart, setApart] = useState(foamOnly);
  const [items, setItems] = useState(!foamOnly);
  const [glb, setGlb] = useState<ArrayBuffer | null>(null);
  useEffect(() => {
    let gone = false;
    fetch(`/api/jobs/${encodeURIComponent(job.name)}/scene.glb?revision=${job.revision}`)
      .then((answer) => (answer.ok ? answer.arrayBuffer() : null))
      .then((found) => {
        if (!gone) setGlb(found);
      })
      .catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [job.name, job.revision]);
  const lifts = useMemo(() => (apart ? lift(interior) : undefined), [apart, interior]);
  const shows = useMemo(() => shown(foamOnly, items), [foamOnly, items]);
  const tick = (label: string, on: boolean, change: (on: boolean) => void) => (
    <label>
      <input type="checkbox" checked={on} onChange={(event) => change(event.currentTarget.checked)} />
      {label}
    </label>
  );
  return (
    <figure class="sized">
      <figcaption>
        <b>3D</b>
        {tick("layers apart", apart, setApart)}
        {foamOnly && tick("with the equipment", items, setItems)}
      </figcaption>
      <Three
        glb={glb}
        words={foamOnly ? "The foam in 3D, layer on layer" : "The packed case in 3D"}
        shows={shows}
        {...(lifts ? { lifts } : {})}
      />
    </figure>
  );
}

/** Where every node stands when the layers are taken apart. */
function lift(interior: Interior): (name: string) => number {
  const layers = interior.blocks.flatMap((block) => block.layers);
  const gap = 0.06;
  return (name) => {
    const layer = layers.findIndex((known) => name.startsWith(`foam ${known.id} `));
    if (layer >= 0) return layer * gap;
    const place = interior.places.find((known) => name === `item ${known.instance}`);
    if (place) {
      const top = place.box_max_m[2] ?? 0;
      const over = layers.filter((known) => known.low_m < top - 1e-6).length;
      return over * gap + 0.03;
    }
    return name.includes("lid") ? layers.length * gap : -0.02;
  };
}

/** Which nodes are shown: in the case, all but the lid; as the shop makes it, foam and, where wanted, what it holds. */
function shown(foamOnly: boolean, items: boolean): (name: string) => boolean {
  if (!foamOnly) return (name) => !name.includes("lid");
  return (name) => name.startsWith("foam ") || (items && name.startsWith("item "));
}
