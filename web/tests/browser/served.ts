/** Starts the program on a store of its own and a browser on it; ends both. */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { type BrowserContext, chromium } from "playwright-core";
import type { Schemas } from "../../src/api/client";

const ROOT = resolve(import.meta.dirname, "../../..");
const BINARY = process.env.CADDIS_BINARY ?? join(ROOT, "target/release/caddis");
const CHROMIUM = process.env.CADDIS_CHROMIUM ?? "/usr/bin/chromium";

export interface Served {
  url: string;
  port: number;
  data: string;
  /** Ends the program at once, as `kill -9` does. */
  kill: () => Promise<void>;
}

const folders: string[] = [];
const children: ChildProcess[] = [];
process.once("exit", () => {
  for (const child of children) child.kill("SIGKILL");
  for (const made of folders) rmSync(made, { recursive: true, force: true });
});

/** A folder that is gone when the tests end. */
export function folder(name: string): string {
  const made = mkdtempSync(join(tmpdir(), `caddis-${name}-`));
  folders.push(made);
  return made;
}

/** Serves the demonstration job from a store in `data`. */
export async function serve(data: string, port = 0): Promise<Served> {
  const child: ChildProcess = spawn(
    BINARY,
    ["serve", "--data", data, "--port", String(port), "--job", join(ROOT, "jobs/tindra-ridge")],
    { stdio: ["ignore", "ignore", "pipe"] },
  );
  children.push(child);
  const url = await new Promise<string>((found, failed) => {
    let said = "";
    child.stderr?.on("data", (bytes: Buffer) => {
      said += bytes.toString();
      const match = /open (http:\/\/[^/]+)\//.exec(said);
      if (match?.[1]) found(match[1]);
    });
    child.once("exit", (code) => failed(new Error(`caddis serve ended with ${code}: ${said}`)));
  });
  return {
    url,
    port: Number(new URL(url).port),
    data,
    kill: () =>
      new Promise((done) => {
        if (child.exitCode !== null || child.signalCode !== null) return done();
        child.once("exit", () => done());
        child.kill("SIGKILL");
      }),
  };
}

export interface Page {
  context: BrowserContext;
  /** Every request that left the page's own address. */
  outside: string[];
  /** What the page complained about. */
  errors: string[];
  close: () => Promise<void>;
}

/** A fresh browser that may speak to nobody but the served address. */
export async function browse(
  served: Served,
  options: { dark?: boolean; width?: number; height?: number } = {},
): Promise<Page> {
  const context = await chromium.launchPersistentContext(folder("browser"), {
    executablePath: CHROMIUM,
    headless: true,
    colorScheme: options.dark ? "dark" : "light",
    viewport: { width: options.width ?? 1280, height: options.height ?? 900 },
    baseURL: served.url,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--use-angle=swiftshader",
      "--enable-unsafe-swiftshader",
    ],
  });
  context.setDefaultTimeout(120_000);
  const outside: string[] = [];
  const errors: string[] = [];
  context.on("request", (request) => {
    const url = request.url();
    // The browser's own parts (its PDF viewer) come out of the browser, not off a network.
    const inner = ["blob:", "data:", "chrome:", "chrome-extension:"];
    if (!url.startsWith(served.url) && !inner.some((scheme) => url.startsWith(scheme))) outside.push(url);
  });
  context.on("weberror", (error) => errors.push(String(error.error())));
  context.on("console", (message) => {
    if (message.type() === "error") errors.push(message.text());
  });
  return { context, outside, errors, close: () => context.close() };
}

/** Arranges the demonstration job without a browser and waits until it lies. */
export async function arranged(served: Served): Promise<Schemas["InteriorSection"]> {
  const address = `${served.url}/api/jobs/tindra-ridge`;
  const headers = { "content-type": "application/json" };
  await fetch(`${address}/solve?from=nothing`, { method: "POST", headers });
  for (;;) {
    const now = (await (await fetch(`${address}/result`)).json()) as Schemas["ResultView"];
    if (now.result?.interior) return now.result.interior;
    if (now.state === "failed" || now.state === "impossible") throw new Error(JSON.stringify(now));
    await new Promise((done) => setTimeout(done, 500));
  }
}

/** Waits until what lies is verified and made. */
export async function verified(served: Served): Promise<void> {
  for (;;) {
    const now = (await (await fetch(`${served.url}/api/jobs/tindra-ridge/result`)).json()) as Schemas["ResultView"];
    if (now.state === "done") return;
    if (now.state === "failed" || now.state === "impossible") throw new Error(JSON.stringify(now));
    await new Promise((done) => setTimeout(done, 500));
  }
}
