/** An item in the hand: turned in 3D until a side lies down, and that way up allowed or forbidden. */
import { useEffect, useRef, useState } from "preact/hooks";
import { Box3, BoxGeometry, Group, Mesh, MeshBasicMaterial, Quaternion, Vector3 } from "three";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";
import { IN_WORDS, settled, turned, type Way, WAYS, wayUp } from "../way_up";
import { begin, end, type Stage } from "./three";

/** Radians of a point the hand moves by. */
const TURN = 0.012;
/** Colour of what the item lies on: allowed and forbidden; the words below say the same. */
const GROUND = { allowed: 0x4f9d69, forbidden: 0xb5483a };

interface WaysUpProps {
  glb: ArrayBuffer | null;
  name: string;
  ways: readonly string[];
  /** Keeps other ways up, with what changed in words. */
  onWays: (ways: string[], words: string) => void;
}

interface InHand {
  stage: Stage;
  item: Group;
  ground: Mesh<BoxGeometry, MeshBasicMaterial>;
  /** Its own box, with the item's centre in the middle. */
  box: Box3;
}

export function WaysUp({ glb, name, ways, onWays }: WaysUpProps) {
  const host = useRef<HTMLDivElement>(null);
  const hand = useRef<InHand | null>(null);
  const drag = useRef<{ x: number; y: number } | null>(null);
  /** How it is turned; kept when its shape comes anew. */
  const now = useRef(new Quaternion());
  const colour = useRef<number>(GROUND.allowed);
  const [way, setWay] = useState<Way>("+z");
  const [failure, setFailure] = useState("");
  const isAllowed = ways.includes(way);

  useEffect(() => {
    const element = host.current;
    if (!element || !glb) return;
    let watch: ResizeObserver | null = null;
    let gone = false;
    let stage: Stage;
    try {
      stage = begin(element);
    } catch {
      setFailure("this browser shows no 3D; choose the sides below");
      return;
    }
    // The hand turns the item, not the eye.
    stage.controls.enabled = false;
    new GLTFLoader().parse(
      glb.slice(0),
      "",
      (loaded) => {
        if (gone) return;
        hand.current = taken(stage, loaded.scene);
        watch = new ResizeObserver(() => stage.draw());
        watch.observe(element);
        lay(hand.current, now.current);
        paint(hand.current, colour.current);
      },
      () => setFailure("the 3D shape could not be read"),
    );
    return () => {
      gone = true;
      watch?.disconnect();
      end(stage);
      hand.current = null;
    };
  }, [glb]);

  useEffect(() => {
    colour.current = isAllowed ? GROUND.allowed : GROUND.forbidden;
    if (hand.current) paint(hand.current, colour.current);
  }, [isAllowed]);

  const turn = (next: Quaternion) => {
    now.current = next;
    if (hand.current) lay(hand.current, next);
    setWay(wayUp(next));
  };
  const toggle = (side: Way, on: boolean) => {
    const next = WAYS.filter((known) => (known === side ? on : ways.includes(known)));
    onWays(next, `${side} up ${on ? "allowed" : "forbidden"}`);
  };
  const keys = (event: KeyboardEvent) => {
    const quarter = Math.PI / 2;
    const turns: Record<string, [number, number]> = {
      ArrowLeft: [-quarter, 0],
      ArrowRight: [quarter, 0],
      ArrowUp: [0, -quarter],
      ArrowDown: [0, quarter],
    };
    const by = turns[event.key];
    if (!by) return;
    event.preventDefault();
    turn(settled(turned(now.current, ...by)));
  };
  return (
    <>
      <div
        class="three turned"
        ref={host}
        role="group"
        aria-label={`${name} in 3D, ${way} up. Turn it over with the mouse or the arrow keys.`}
        tabIndex={0}
        onKeyDown={keys}
        onPointerDown={(event) => {
          drag.current = { x: event.clientX, y: event.clientY };
          event.currentTarget.setPointerCapture(event.pointerId);
        }}
        onPointerMove={(event) => {
          const from = drag.current;
          if (!from) return;
          const [right, down] = [(event.clientX - from.x) * TURN, (event.clientY - from.y) * TURN];
          drag.current = { x: event.clientX, y: event.clientY };
          turn(turned(now.current, right, down));
        }}
        onPointerUp={() => {
          drag.current = null;
          turn(settled(now.current));
        }}
        onPointerCancel={() => {
          drag.current = null;
        }}
      >
        {failure && <p class="faint">{failure}</p>}
        {!failure && !glb && <p class="faint">…</p>}
      </div>
      <p class="row" role="status">
        <b>
          {way} up, {IN_WORDS[way]}: {isAllowed ? "allowed" : "forbidden"}
        </b>
        <button
          type="button"
          disabled={isAllowed && ways.length < 2}
          title={isAllowed && ways.length < 2 ? "an item needs one way up at least" : ""}
          onClick={() => toggle(way, !isAllowed)}
        >
          {isAllowed ? "Forbid this way up" : "Allow this way up"}
        </button>
      </p>
      <fieldset>
        <legend>Ways up it may lie</legend>
        <div class="ways">
          {WAYS.map((side) => (
            <div key={side} class="row">
              <label>
                <input
                  type="checkbox"
                  checked={ways.includes(side)}
                  disabled={ways.includes(side) && ways.length < 2}
                  onChange={(event) => toggle(side, event.currentTarget.checked)}
                />
                {side} up, {IN_WORDS[side]}
              </label>
              <button
                type="button"
                class="plain"
                aria-label={`show ${side} up`}
                aria-pressed={way === side}
                onClick={() => turn(settled(now.current, side))}
              >
                show
              </button>
            </div>
          ))}
        </div>
      </fieldset>
    </>
  );
}

/** Puts an item on the stage, turned about the middle of its box, over what it lies on. */
function taken(stage: Stage, scene: Group): InHand {
  const box = new Box3().setFromObject(scene);
  const middle = box.getCenter(new Vector3());
  scene.position.sub(middle);
  const item = new Group();
  item.add(scene);
  stage.scene.add(item);
  const half = box.getSize(new Vector3()).multiplyScalar(0.5);
  const far = half.length();
  const ground = new Mesh(
    new BoxGeometry(far * 2.4, far * 0.02, far * 2.4),
    new MeshBasicMaterial({ color: GROUND.allowed, transparent: true, opacity: 0.55 }),
  );
  stage.scene.add(ground);
  stage.controls.target.set(0, -far * 0.15, 0);
  stage.camera.position.set(far * 1.1, far * 2.1, far * 4.4);
  stage.camera.lookAt(stage.controls.target);
  return { stage, item, ground, box: new Box3(half.clone().negate(), half) };
}

function paint(now: InHand, colour: number): void {
  now.ground.material.color.setHex(colour);
  now.stage.draw();
}

/** Turns it, the ground under its lowest corner. */
function lay(now: InHand, turn: Quaternion): void {
  now.item.quaternion.copy(turn);
  let low = 0;
  for (let corner = 0; corner < 8; corner += 1) {
    const at = new Vector3(
      corner & 1 ? now.box.max.x : now.box.min.x,
      corner & 2 ? now.box.max.y : now.box.min.y,
      corner & 4 ? now.box.max.z : now.box.min.z,
    );
    low = Math.min(low, at.applyQuaternion(turn).y);
  }
  now.ground.position.y = low - now.ground.geometry.parameters.height / 2;
  now.stage.draw();
}
