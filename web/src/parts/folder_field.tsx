interface FolderFieldProps {
  label: string;
  wide?: boolean;
  onFiles: (files: File[]) => void;
}

/** A field for a whole folder of files. */
export function FolderField({ label, wide, onFiles }: FolderFieldProps) {
  return (
    <label class={wide ? "wide" : ""}>
      <span>{label}</span>
      <input
        type="file"
        // The types of elements do not know this attribute.
        ref={(element) => element?.setAttribute("webkitdirectory", "")}
        onChange={(event) => onFiles([...(event.currentTarget.files ?? [])])}
      />
    </label>
  );
}
