/** Files of a dropped folder, and which of them are shapes. */

/** Endings of files that a shape is read from. */
const SHAPES = ["stl", "3mf", "glb", "obj", "ply", "step", "stp", "dxf", "svg"];
/** Files taken from a folder at most: a person who drops a whole disk meant something else. */
export const MOST_FILES = 200;

/** The shapes among files, by name, and the names of what was passed over. */
export function shapesOf(files: readonly File[]): { shapes: File[]; passedOver: string[] } {
  const shapes: File[] = [];
  const passedOver: string[] = [];
  for (const file of [...files].sort((a, b) => (nameOf(a) < nameOf(b) ? -1 : 1))) {
    const ending = file.name.split(".").at(-1)?.toLowerCase() ?? "";
    if (file.name.startsWith(".")) continue;
    if (SHAPES.includes(ending) && shapes.length < MOST_FILES) shapes.push(file);
    else passedOver.push(nameOf(file));
  }
  return { shapes, passedOver };
}

/** A file's name with the folders it lies in. */
export function nameOf(file: File): string {
  return file.webkitRelativePath || file.name;
}

/** Every file of what was dropped, folders opened. Has to be called in the event itself: what was dropped is gone after it. */
export function droppedFiles(dropped: DataTransfer | null): Promise<File[]> {
  const entries = [...(dropped?.items ?? [])].flatMap((item) => {
    const entry = item.kind === "file" ? item.webkitGetAsEntry() : null;
    return entry ? [entry] : [];
  });
  if (entries.length === 0) return Promise.resolve([...(dropped?.files ?? [])]);
  return Promise.all(entries.map(filesIn)).then((found) => found.flat());
}

async function filesIn(entry: FileSystemEntry): Promise<File[]> {
  if (isFile(entry)) return [await new Promise<File>((done, fail) => entry.file(done, fail))];
  if (!isFolder(entry)) return [];
  const reader = entry.createReader();
  const files: File[] = [];
  // A reader gives a hundred at a time, and none at the end.
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((done, fail) => reader.readEntries(done, fail));
    if (some.length === 0) return files;
    for (const inner of some) files.push(...(await filesIn(inner)));
  }
}

const isFile = (entry: FileSystemEntry): entry is FileSystemFileEntry => entry.isFile;
const isFolder = (entry: FileSystemEntry): entry is FileSystemDirectoryEntry => entry.isDirectory;
