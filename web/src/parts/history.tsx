/** The worst fall of an item over time, and played again in slow motion. */
import { useEffect, useRef, useState } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import type { Schemas } from "../api/client";
import { sunk } from "../fall";
import { mm } from "../words";

/** How long the replay of a fall takes, s. */
const REPLAY = 6;
/** Lines of the plot: the centre of mass, then the named points. */
const LINES = ["--accent", "--weak", "--fails", "--holds", "--edge"] as const;

export function History({
  shock,
  limit,
  height,
}: {
  shock: Schemas["ShockResult"];
  limit: number | undefined;
  height: number;
}) {
  const host = useRef<HTMLDivElement>(null);
  const [at, setAt] = useState<number | null>(null);
  const [playing, setPlaying] = useState(false);
  const samples = shock.points[0]?.history_g.length ?? 0;
  const depths = sunk(shock.points[0]?.history_g ?? [], shock.step_s, height);
  useEffect(() => {
    const element = host.current;
    if (!element || samples === 0) return;
    const plot = draw(element, shock, limit);
    const watch = new ResizeObserver(() => plot.setSize({ width: element.clientWidth, height: 230 }));
    watch.observe(element);
    return () => {
      watch.disconnect();
      plot.destroy();
    };
  }, [shock, limit]);
  useEffect(() => {
    if (!playing) return;
    const begun = performance.now();
    let asked = 0;
    const next = (now: number) => {
      const share = (now - begun) / 1000 / REPLAY;
      setAt(Math.min(Math.floor(share * samples), samples - 1));
      if (share < 1) asked = requestAnimationFrame(next);
      else setPlaying(false);
    };
    asked = requestAnimationFrame(next);
    return () => cancelAnimationFrame(asked);
  }, [playing]);
  if (samples === 0) return <p class="faint">No pulse was found in that fall.</p>;
  const deepest = Math.max(...depths);
  const now = at ?? depths.indexOf(deepest);
  const slower = REPLAY / (samples * shock.step_s);
  return (
    <>
      <div ref={host} class="plot" role="img" aria-label="Acceleration against the fall over time" />
      <div class="row">
        <button type="button" onClick={() => setPlaying(!playing)}>
          {playing ? "Stop" : `Replay, ${slower.toFixed(0)} times slower`}
        </button>
        <input
          type="range"
          aria-label="Moment of the fall"
          min={0}
          max={samples - 1}
          value={now}
          onInput={(event) => {
            setPlaying(false);
            setAt(Number(event.currentTarget.value));
          }}
        />
      </div>
      <Sinking depth={depths[now] ?? 0} deepest={deepest} />
      <p class="small">
        {(now * shock.step_s * 1000).toFixed(1)} ms after the case landed: sunk{" "}
        {mm(Math.max(depths[now] ?? 0, 0))}, at most {mm(deepest)};{" "}
        {(shock.points[0]?.history_g[now] ?? 0).toFixed(0)} G against the fall. Velocity change{" "}
        {shock.velocity_change_m_s.toFixed(2)} m/s in {(shock.duration_s * 1000).toFixed(1)} ms.{" "}
        {shock.filter}
      </p>
    </>
  );
}

/** The item over its foam, moved along the fall only. */
function Sinking({ depth, deepest }: { depth: number; deepest: number }) {
  const most = Math.max(deepest, 1e-4);
  const down = (26 * Math.max(depth, -most)) / most;
  return (
    <svg class="drawing sinking" viewBox="0 0 300 84" aria-hidden="true">
      <rect class="foam" x="20" y={46 + Math.max(down, 0)} width="260" height={36 - Math.max(down, 0)} />
      <rect class="item" x="100" y={16 + down} width="100" height="30" />
      <line class="cut" x1="10" x2="290" y1={46} y2={46} />
    </svg>
  );
}

function draw(element: HTMLElement, shock: Schemas["ShockResult"], limit: number | undefined): uPlot {
  const style = getComputedStyle(element);
  // `light-dark()` is resolved where it is used, so a probe turns it into a colour.
  const colour = (name: string) => {
    element.style.color = `var(${name})`;
    const found = style.color;
    element.style.color = "";
    return found;
  };
  const ink = colour("--ink");
  const line = colour("--line");
  const samples = Math.max(...shock.points.map((point) => point.history_g.length));
  const time = Array.from({ length: samples }, (_, index) => index * shock.step_s * 1000);
  const series: uPlot.Series[] = [{ label: "ms" }];
  const data: (number | null)[][] = [time];
  shock.points.forEach((point, index) => {
    series.push({
      label: `${point.name} (G)`,
      stroke: colour(LINES[index % LINES.length] as string),
      width: 2,
      value: (_, value) => (value == null ? "–" : value.toFixed(1)),
    });
    data.push(time.map((_, sample) => point.history_g[sample] ?? null));
  });
  if (limit !== undefined) {
    series.push({
      label: "stands (G)",
      stroke: colour("--fails"),
      dash: [6, 4],
      width: 1.5,
      points: { show: false },
    });
    data.push(time.map(() => limit));
  }
  const axis = { stroke: ink, grid: { stroke: line, width: 1 }, ticks: { stroke: line } };
  return new uPlot(
    {
      width: element.clientWidth || 480,
      height: 230,
      scales: { x: { time: false } },
      axes: [
        { ...axis, label: "ms after the case landed", labelSize: 22 },
        { ...axis, label: "G against the fall", labelSize: 22 },
      ],
      series,
    },
    data as uPlot.AlignedData,
    element,
  );
}
