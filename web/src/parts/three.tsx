/** A scene in 3D, turned with mouse, touch or arrow keys. Drawn only when something moves. */
import { useEffect, useRef, useState } from "preact/hooks";
import {
  AmbientLight,
  Box3,
  DirectionalLight,
  type Object3D,
  PerspectiveCamera,
  Scene,
  Spherical,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";

export interface Stage {
  renderer: WebGLRenderer;
  scene: Scene;
  camera: PerspectiveCamera;
  controls: OrbitControls;
  draw: () => void;
  shown: Object3D | null;
}

/** A stage with light and a camera in an element. */
export function begin(host: HTMLElement): Stage {
  const renderer = new WebGLRenderer({ antialias: true, alpha: true });
  renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
  host.append(renderer.domElement);
  const scene = new Scene();
  scene.add(new AmbientLight(0xffffff, 1.6));
  for (const [x, y, z, strength] of [
    [1, 2, 1.5, 1.7],
    [-2, 1, -1, 0.8],
  ] as const) {
    const light = new DirectionalLight(0xffffff, strength);
    light.position.set(x, y, z);
    scene.add(light);
  }
  const camera = new PerspectiveCamera(32, 1.6, 0.01, 20);
  const controls = new OrbitControls(camera, renderer.domElement);
  controls.enableDamping = false;
  let asked = 0;
  const draw = () => {
    if (asked) return;
    asked = requestAnimationFrame(() => {
      asked = 0;
      const { clientWidth, clientHeight } = host;
      if (clientWidth === 0 || clientHeight === 0) return;
      renderer.setSize(clientWidth, clientHeight, false);
      camera.aspect = clientWidth / clientHeight;
      camera.updateProjectionMatrix();
      renderer.render(scene, camera);
    });
  };
  controls.addEventListener("change", draw);
  return { renderer, scene, camera, controls, draw, shown: null };
}

/** Takes a stage down. */
export function end(at: Stage): void {
  at.controls.dispose();
  at.renderer.dispose();
  at.renderer.domElement.remove();
}

export interface ThreeProps {
  /** The scene as binary glTF; `null` while it is not there yet. */
  glb: ArrayBuffer | null;
  /** What it shows, in words. */
  words: string;
  /** Which nodes are shown, by name. */
  shows?: (name: string) => boolean;
  /** How far each node is lifted, by name, metres. */
  lifts?: (name: string) => number;
}

export function Three({ glb, words, shows, lifts }: ThreeProps) {
  const host = useRef<HTMLDivElement>(null);
  const stage = useRef<Stage | null>(null);
  const [failure, setFailure] = useState("");
  useEffect(() => {
    const element = host.current;
    if (!element) return;
    try {
      stage.current = begin(element);
    } catch {
      setFailure("this browser shows no 3D; plan and sections say the same");
      return;
    }
    const watch = new ResizeObserver(() => stage.current?.draw());
    watch.observe(element);
    return () => {
      watch.disconnect();
      if (stage.current) end(stage.current);
      stage.current = null;
    };
  }, []);
  useEffect(() => {
    if (!glb) return;
    let gone = false;
    new GLTFLoader().parse(
      glb.slice(0),
      "",
      (loaded) => {
        const at = stage.current;
        if (gone || !at) return;
        const isFirst = at.shown === null;
        if (at.shown) at.scene.remove(at.shown);
        at.shown = loaded.scene;
        at.scene.add(loaded.scene);
        apply(at, shows, lifts);
        // From where all of it is seen, apart as it stands.
        if (isFirst) look(at);
      },
      () => setFailure("the 3D scene could not be read"),
    );
    return () => {
      gone = true;
    };
  }, [glb]);
  useEffect(() => {
    if (stage.current) apply(stage.current, shows, lifts);
  }, [shows, lifts]);
  const turn = (event: KeyboardEvent) => {
    const at = stage.current;
    const turns: Record<string, [number, number, number]> = {
      ArrowLeft: [-0.12, 0, 1],
      ArrowRight: [0.12, 0, 1],
      ArrowUp: [0, -0.1, 1],
      ArrowDown: [0, 0.1, 1],
      "+": [0, 0, 0.9],
      "-": [0, 0, 1.1],
    };
    const by = turns[event.key];
    if (!at || !by) return;
    event.preventDefault();
    const away = at.camera.position.clone().sub(at.controls.target);
    const round = new Spherical().setFromVector3(away);
    round.theta += by[0];
    round.phi = Math.min(Math.max(round.phi + by[1], 0.05), Math.PI - 0.05);
    round.radius *= by[2];
    at.camera.position.copy(at.controls.target).add(new Vector3().setFromSpherical(round));
    at.controls.update();
    at.draw();
  };
  return (
    <div
      class="three"
      ref={host}
      role="img"
      aria-label={`${words}. Turn with the arrow keys, plus and minus for nearer and farther.`}
      tabIndex={0}
      onKeyDown={turn}
    >
      {failure && <p class="faint">{failure}</p>}
      {!failure && !glb && <p class="faint">…</p>}
    </div>
  );
}

/** Looks at the whole of what is shown. */
export function look(at: Stage): void {
  if (!at.shown) return;
  const bounds = new Box3();
  for (const node of at.shown.children) if (node.visible) bounds.expandByObject(node);
  const centre = bounds.getCenter(new Vector3());
  const far = bounds.getSize(new Vector3()).length() * 1.55;
  at.controls.target.copy(centre);
  at.camera.position.copy(centre).add(new Vector3(0.55, 0.75, 1).normalize().multiplyScalar(far));
  at.controls.update();
}

function apply(at: Stage, shows: ThreeProps["shows"], lifts: ThreeProps["lifts"]): void {
  for (const node of at.shown?.children ?? []) {
    node.visible = shows?.(node.userData.name ?? node.name) ?? true;
    node.position.y = lifts?.(node.userData.name ?? node.name) ?? 0;
  }
  at.draw();
}
