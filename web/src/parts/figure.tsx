/** A drawing of the finished design, as it stands in the papers. */
import type { Job } from "../job";

export function Drawing({ job, figure, words }: { job: Job; figure: string; words: string }) {
  const address = `/api/jobs/${encodeURIComponent(job.name)}/figures/${figure}?revision=${job.revision}`;
  return (
    <a class="sheet" href={address} target="_blank" rel="noreferrer">
      <img src={address} alt={words} loading="lazy" />
    </a>
  );
}
