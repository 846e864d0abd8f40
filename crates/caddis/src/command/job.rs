//! `caddis arrange|verify|make|present|run JOB`: the stages as far as asked.

use crate::arguments::JobOptions;
use crate::command::select::page;
use crate::command::{print, print_json, since, tests};
use crate::failure::{DONE, Failure, NOT_RELEASED};
use crate::out_folder::OutFolder;
use crate::stages::{Chosen, Times, arranged, chosen, made, read, released, verified};
use crate::words;
use caddis_basis::both;
use caddis_design::{Blocked, Interior, Release, Verification};
use caddis_documents::{DocumentError, Words};
use caddis_files::{FileError, FilePlace, Job, ResultFile, SelectionSection, SurveySection};
use caddis_journey::Comparison;
use caddis_server::{JobSet, SetFile, words_of};
use caddis_shop::{ChangeOrder, ShopSet};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

/// How far to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Until {
    /// The interior.
    Arrange,
    /// Its verdicts.
    Verify,
    /// Parts, nests, bill; cut files when released.
    Make,
    /// Papers.
    Present,
    /// Everything.
    Run,
}

/// Runs the stages; `results` are measured drops to hold against the calculation.
pub(crate) fn run(options: &JobOptions, until: Until, results: Option<&Path>) -> Result<u8, Failure> {
    if until >= Until::Present && options.out.is_none() {
        return Err(Failure::Use {
            problem: "this command writes files and needs `--out DIR`".to_owned(),
            hint: "name a folder that may be replaced, e.g. `--out out`".to_owned(),
        });
    }
    let mut times = Times::default();
    let mut job = read(
        &options.job,
        &options.library,
        options.process.as_deref(),
        &mut times,
    )?;
    if let Some(tag) = &options.language {
        let library = crate::library_folder::find(&options.library, Some(&options.job))?;
        let place = FilePlace {
            file: "--language".to_owned(),
            line: None,
            field: String::new(),
        };
        job.language = library.language(tag, place)?;
    }
    // Before anything is searched for: a catalogue that lacks something is told at once.
    let words = words_of(&job.language)?;
    let date = date(options.date.as_ref(), job.date.as_ref())?;
    let tests = results.map(|file| tests::read(file, &job)).transpose()?;
    let chosen = chosen(&mut job, options, &mut times)?;
    let since = options.since.as_deref().map(since::read).transpose()?;
    let interior = match (chosen.as_ref().and_then(Chosen::interior), &since) {
        (Some(interior), None) => interior.clone(),
        (_, since) => {
            let before = since.as_ref().map(|since| &since.arrangement);
            arranged(&job, options, before, &mut times)?
        }
    };
    let selection = chosen.as_ref().map(|chosen| &chosen.section);
    if until == Until::Arrange {
        return arrange_only(&job, &interior, options, &times);
    }
    let mut verification = verified(&job, &interior, &mut times);
    if until == Until::Verify {
        let compared = match &tests {
            Some(tests) => tests.compare(&job.brief, &mut verification)?,
            None => Vec::new(),
        };
        let release = released(&job, &verification);
        let done = Done {
            job: &job,
            interior: &interior,
            verification: &verification,
            release: &release,
            words,
            selection,
            date: &date,
            revision: &options.revision,
            compared: &compared,
            order: None,
        };
        return finish(&done, None, options, &times);
    }
    let set = made(&job, &interior, &mut verification, &mut times)?;
    let order = since
        .as_ref()
        .map(|since| since.order(&job, &interior, &set))
        .transpose()?;
    let release = released(&job, &verification);
    let done = Done {
        job: &job,
        interior: &interior,
        verification: &verification,
        release: &release,
        words,
        selection,
        date: &date,
        revision: &options.revision,
        compared: &[],
        order: order.as_ref(),
    };
    if let Some(out) = &options.out {
        let folder = OutFolder::begin(out)?;
        let files = times.stage("present", || written(&done, &set, until))?;
        for (path, bytes) in &files {
            folder.write(path, bytes)?;
        }
        let (path, bytes) = done.set().manifest(&files).map_err(Failure::Internal)?;
        folder.write(&path, &bytes)?;
        folder.place()?;
        eprintln!("wrote {} files to {}", files.len() + 1, out.display());
    }
    finish(&done, Some(&set), options, &times)
}

/// Everything up to the release.
struct Done<'a> {
    job: &'a Job,
    interior: &'a Interior,
    verification: &'a Verification,
    release: &'a Result<Release, Blocked>,
    /// Every shell tried, where the job left the choice open.
    /// The language of papers.
    words: &'static Words,
    selection: Option<&'a SelectionSection>,
    date: &'a str,
    /// Revision on papers.
    revision: &'a str,
    /// Measured drops beside what is calculated.
    compared: &'a [Comparison],
    /// What differs from what was delivered.
    order: Option<&'a ChangeOrder>,
}

impl<'a> Done<'a> {
    fn set(&self) -> JobSet<'a> {
        JobSet {
            job: self.job,
            interior: self.interior,
            verification: self.verification,
            release: self.release,
            words: self.words,
            date: self.date,
            revision: self.revision,
        }
    }

    fn result(&self, set: Option<&ShopSet>) -> ResultFile {
        let survey = SurveySection::of(&self.job.brief.shell);
        let mut result = self.set().result(survey, set);
        result.selection = self.selection.cloned();
        result
    }
}

/// The files of the set with their paths, in a fixed order.
fn written(done: &Done<'_>, set: &ShopSet, until: Until) -> Result<Vec<SetFile>, Failure> {
    let mut files = Vec::new();
    if until != Until::Present {
        files.extend(done.set().cut(set).map_err(Failure::Internal)?);
        for (_, bytes) in files.iter().filter(|(path, _)| path == caddis_shop::WITHHELD) {
            eprint!("programs withheld:\n{}", String::from_utf8_lossy(bytes));
        }
    }
    if let Some(order) = done.order {
        let paper = done.set().changes(set, order);
        files.push(paper.map_err(|error| Failure::Internal(error.to_string()))?);
    }
    // The result surveys the shell meanwhile, which takes its time.
    let result = || done.result(Some(set)).to_json().map_err(Failure::Internal);
    let result = if until >= Until::Present {
        let (papers, result) = both(2, || done.set().papers(set), result);
        let papers = papers.map_err(|error| match error {
            DocumentError::Picture(why) if !done.job.photos.is_empty() => Failure::Input(FileError::content(
                format!("shell `{}`", done.job.brief.shell.name),
                format!("its photos cannot be printed: {why}"),
                Some("save the photos as PNG or JPEG".to_owned()),
            )),
            other => Failure::Internal(other.to_string()),
        })?;
        for (_, bytes) in papers
            .iter()
            .filter(|(path, _)| path == caddis_documents::INCOMPLETE)
        {
            eprint!("{}", String::from_utf8_lossy(bytes));
        }
        files.extend(papers);
        if let Some(selection) = done.selection {
            let page = page(done.words, selection, &done.job.brief, done.date)?;
            files.push((page.name, page.bytes));
        }
        result?
    } else {
        result()?
    };
    files.push(("result.json".to_owned(), result.into_bytes()));
    Ok(files)
}

fn times_json(times: &Times) -> Value {
    Value::Object(
        times
            .0
            .iter()
            .map(|(stage, time)| ((*stage).to_owned(), json!(time.as_secs_f64())))
            .collect(),
    )
}

fn arrange_only(job: &Job, interior: &Interior, options: &JobOptions, times: &Times) -> Result<u8, Failure> {
    if options.output.json {
        let places: Vec<_> = interior
            .places
            .iter()
            .map(|place| {
                json!({
                    "number": place.number,
                    "instance": place.instance.to_string(),
                    "name": job.brief.items[place.item].name,
                    "tier": place.tier,
                    "in_lid": place.in_lid,
                    "up": place.up.as_str(),
                    "turn_deg": place.turn.as_degrees(),
                    "x_m": place.at.x,
                    "y_m": place.at.y,
                    "bottom_m": place.bottom,
                })
            })
            .collect();
        print_json(&json!({
            "job": job.brief.job,
            "spare_m": interior.spare,
            "rounds": interior.rounds,
            "seed": interior.seed,
            "steps": interior.steps,
            "places": places,
            "wishes": caddis_design::wishes(interior, &job.brief)
                .iter()
                .map(|verdict| json!({
                    "place": verdict.place.as_str(),
                    "wish": verdict.wish.as_str(),
                    "is_met": verdict.is_met,
                    "sentence": verdict.sentence.as_str(),
                }))
                .collect::<Vec<_>>(),
            "score": caddis_design::score(interior, &job.brief)
                .iter()
                .map(|term| json!({
                    "name": term.name.as_str(),
                    "value": term.value,
                    "unit": term.unit,
                    "weight": term.weight,
                    "points": term.points(),
                }))
                .collect::<Vec<_>>(),
            "seconds": times_json(times),
        }))?;
    } else {
        print(&places_text(job, interior))?;
    }
    words::times(times);
    Ok(DONE)
}

fn places_text(job: &Job, interior: &Interior) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{:>3}  {:<26} {:>4}  {:>5}  {:>22}  up",
        "no", "item", "tier", "turn", "x, y, bottom (mm)"
    );
    let mut places: Vec<_> = interior.places.iter().collect();
    places.sort_by_key(|place| place.number);
    for place in places {
        let _ = writeln!(
            text,
            "{:>3}  {:<26} {:>4}  {:>5}  {:>6.0}, {:>6.0}, {:>6.0}  {}",
            place.number,
            job.brief.items[place.item].name,
            if place.in_lid {
                "lid".to_owned()
            } else {
                (place.tier + 1).to_string()
            },
            place.turn.as_degrees(),
            place.at.x * 1e3,
            place.at.y * 1e3,
            place.bottom * 1e3,
            place.up.as_str()
        );
    }
    for verdict in caddis_design::wishes(interior, &job.brief) {
        let met = if verdict.is_met { "met" } else { "not met" };
        let _ = writeln!(
            text,
            "wished of {}: {} ({met}); {}",
            verdict.place, verdict.wish, verdict.sentence
        );
    }
    text
}

/// Prints the result and the words, and gives the exit code.
fn finish(
    done: &Done<'_>,
    set: Option<&ShopSet>,
    options: &JobOptions,
    times: &Times,
) -> Result<u8, Failure> {
    if options.output.json {
        let result = done.result(set).to_json().map_err(Failure::Internal)?;
        let result: Value = serde_json::from_str(&result).map_err(|e| Failure::Internal(e.to_string()))?;
        let mut all = json!({ "result": result, "seconds": times_json(times) });
        if !done.compared.is_empty() {
            all["tests"] = tests::json(done.compared);
        }
        if let (Some(order), Some(set)) = (done.order, set) {
            all["changes"] = since::as_json(order, set);
        }
        print_json(&all)?;
    } else {
        print(&verdicts_text(done, set))?;
    }
    words::findings(&done.verification.findings);
    words::release(done.release);
    words::times(times);
    Ok(if done.release.is_ok() { DONE } else { NOT_RELEASED })
}

fn verdicts_text(done: &Done<'_>, set: Option<&ShopSet>) -> String {
    let mut text = places_text(done.job, done.interior);
    // Writing to a string cannot fail.
    let _ = writeln!(text);
    for item in &done.verification.items {
        let _ = writeln!(
            text,
            "{:>3}  {:<26} {:<10}  {}",
            item.number,
            item.name,
            item.verdict.words(),
            item.sentence
        );
    }
    let _ = writeln!(text);
    if !done.job.brief.vibration.legs.is_empty() {
        for item in &done.verification.vibration {
            let _ = writeln!(
                text,
                "{:>3}  {:<26} {:<10}  vibration: {}",
                item.number,
                item.name,
                item.verdict.words(),
                item.sentence
            );
        }
        let _ = writeln!(text);
    }
    for item in &done.verification.vibration {
        if let Some(shock) = &item.shock {
            let _ = writeln!(
                text,
                "{:>3}  {:<26} damage boundary: {}",
                item.number, item.name, shock.sentence
            );
        }
    }
    for check in &done.verification.case {
        let _ = writeln!(
            text,
            "{:<28} {:<10}  {}",
            check.name,
            check.verdict.words(),
            check.sentence
        );
    }
    for leg in done.verification.legs.iter().filter(|leg| leg.applies) {
        let _ = writeln!(
            text,
            "{:<28} {:<10}  {}",
            format!("{}: {}", leg.place, leg.rule),
            leg.verdict.words(),
            leg.sentence
        );
    }
    if !done.compared.is_empty() {
        let _ = writeln!(text);
        text.push_str(&tests::text(done.compared));
    }
    if let Some(set) = set {
        let _ = writeln!(text);
        for line in &set.bill.lines {
            let total = line.total.map_or_else(String::new, |total| total.to_string());
            let _ = writeln!(
                text,
                "{:>3}  {:<52} {:>7.2} {:<6} {total:>12}",
                line.position, line.description, line.quantity, line.unit
            );
        }
        let _ = writeln!(
            text,
            "cut by {}: cost {}, price {}, foam yield {:.0} %",
            done.job.shop.process.name,
            set.bill.cost,
            set.bill.price,
            set.bill.foam_yield * 100.0
        );
        if let Some(order) = done.order {
            text.push_str(&since::text(order, set));
        }
    }
    text
}

/// The date on papers: the command line's, the job's, today's (UTC).
pub(crate) fn date(asked: Option<&String>, own: Option<&String>) -> Result<String, Failure> {
    let date = match asked.or(own).cloned() {
        Some(date) => date,
        None => caddis_server::now().chars().take(10).collect(),
    };
    let bytes = date.as_bytes();
    let is_date = bytes.len() == 10
        && bytes.iter().enumerate().all(|(i, b)| {
            if i == 4 || i == 7 {
                *b == b'-'
            } else {
                b.is_ascii_digit()
            }
        });
    if is_date {
        Ok(date)
    } else {
        Err(Failure::Use {
            problem: format!("`{date}` is not a date"),
            hint: "write YYYY-MM-DD, e.g. `--date 2026-11-25`".to_owned(),
        })
    }
}
