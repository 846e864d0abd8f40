//! `caddis select JOB`: every shell of a library tried for one packing list.

use crate::arguments::SelectArguments;
use crate::command::job::date;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure, NOT_RELEASED};
use crate::library_folder::also;
use crate::out_folder::OutFolder;
use crate::shape_child::ChildReader;
use crate::stages::{ShopPricing, Times, no_shell};
use crate::terminal::Line;
use crate::words;
use caddis_basis::{Said, said};
use caddis_design::{ArrangeOptions, Brief, Measure, SelectOptions, select};
use caddis_documents::{Document, SelectionInput, SelectionRow, Words, selection_page};
use caddis_files::{FiguresResult, Job, Library, Manifest, SelectionSection, read_job, read_shells, to_json};
use caddis_journey::CarriageLimits;
use serde_json::{Value, json};
use std::fmt::Write;

/// What `--one-person-lift` stands for in words.
fn one_person() -> Said {
    said!("one person lifts from the floor to 0.91 m (MIL-STD-1472G 5.8.6.3, from memory)")
}

/// Refused shells that are printed in words; all of them stand in the files and in JSON.
const SHOWN: usize = 40;

pub(crate) fn run(options: &SelectArguments) -> Result<u8, Failure> {
    let Some(by) = Measure::parse(&options.by) else {
        let known: Vec<&str> = Measure::ALL.iter().map(|measure| measure.as_str()).collect();
        return Err(Failure::Use {
            problem: format!("`{}` is nothing to rank shells by", options.by),
            hint: format!("use one of {}", known.join(", ")),
        });
    };
    let mut times = Times::default();
    let library = also(&options.library, &options.job)?;
    let shelves = if options.library.is_empty() {
        library.clone()
    } else {
        Library::new(options.library.clone())
    };
    let (job, shells) = times.stage("read", || {
        let job = read_job(&options.job, &library, &ChildReader)?;
        let mut shells = read_shells(&shelves)?;
        // The job's own shell is tried as the job has it, with what it takes off.
        if let Some(own) = shells.iter_mut().find(|shell| shell.name == job.brief.shell.name) {
            own.clone_from(&job.brief.shell);
        }
        Ok::<_, Failure>((job, shells))
    })?;
    let date = date(options.date.as_ref(), job.date.as_ref())?;
    let search = SelectOptions {
        by,
        arrange: ArrangeOptions {
            seed: options.seed.unwrap_or(job.seed),
            steps: options.steps.unwrap_or(job.steps),
            workers: usize::from(options.threads),
        },
        in_full: options.in_full,
        best: options.best,
        most_mass: options.one_person_lift.then(|| {
            let words: fn() -> Said = one_person;
            (CarriageLimits::common().lift.value.floor_to_waist, words)
        }),
        most_cases: usize::from(options.most_cases),
    };
    let line = Line::new();
    let selection = times.stage("select", || {
        select(&job.brief, &shells, &ShopPricing(&job.shop), &search, &line)
    });
    drop(line);
    let section = SelectionSection::of(&selection, &job.brief, &shells);
    if let Some(out) = &options.out {
        let folder = OutFolder::begin(out)?;
        let page = page(
            caddis_server::words_of(&job.language)?,
            &section,
            &job.brief,
            &date,
        )?;
        let files = [
            (
                "selection.json".to_owned(),
                to_json(&section).map_err(Failure::Internal)?.into_bytes(),
            ),
            (
                "selection.csv".to_owned(),
                section.to_csv().map_err(Failure::Internal)?.into_bytes(),
            ),
            (page.name, page.bytes),
        ];
        let mut manifest = Manifest::new(
            env!("CARGO_PKG_VERSION"),
            &job.brief.job,
            search.arrange.seed,
            search.arrange.steps,
        );
        manifest.inputs.clone_from(&job.inputs);
        for (path, bytes) in &files {
            folder.write(path, bytes)?;
            manifest.add(path.as_str(), bytes);
        }
        folder.write(
            "manifest.json",
            manifest.to_json().map_err(Failure::Internal)?.as_bytes(),
        )?;
        folder.place()?;
    }
    if options.output.json {
        let text = to_json(&section).map_err(Failure::Internal)?;
        let value: Value = serde_json::from_str(&text).map_err(|e| Failure::Internal(e.to_string()))?;
        print_json(&json!({ "job": job.brief.job, "selection": value }))?;
    } else {
        print(&table(&section, &job))?;
    }
    words::times(&times);
    match (selection.best(), &selection.split) {
        (Some(_), _) => Ok(DONE),
        (None, Some(_)) => Ok(NOT_RELEASED),
        (None, None) => Err(no_shell(&selection, &shells)),
    }
}

/// The page for the report.
pub(crate) fn page(
    words: &Words,
    section: &SelectionSection,
    brief: &Brief,
    date: &str,
) -> Result<Document, Failure> {
    let rows = section
        .candidates
        .iter()
        .map(|candidate| SelectionRow {
            rank: candidate.rank,
            title: candidate.title.clone(),
            cells: cells(&candidate.figures),
            words: standing(candidate),
        })
        .collect();
    let split = section
        .split
        .iter()
        .flatten()
        .enumerate()
        .map(|(index, case)| SelectionRow {
            rank: Some(index + 1),
            title: case.shell.clone(),
            cells: cells(&case.figures),
            words: contents(&case.items),
        })
        .collect();
    let input = SelectionInput {
        job: &brief.job,
        title: &brief.title,
        customer: &brief.customer,
        words,
        date,
        version: env!("CARGO_PKG_VERSION"),
        by: &section.by,
        within_bounds: section.within_bounds,
        rows,
        split,
    };
    selection_page(&input).map_err(|error| Failure::Internal(error.to_string()))
}

/// Gross mass, linear size, chargeable weight, price, spare room, trays.
fn cells(figures: &FiguresResult) -> [String; 6] {
    let known = |value: Option<String>| value.unwrap_or_else(|| "-".to_owned());
    [
        known(figures.gross_mass_kg.map(|kg| format!("{kg:.1}"))),
        format!("{:.1}", figures.linear_size_m * 100.0),
        known(figures.chargeable_weight_kg.map(|kg| format!("{kg:.1}"))),
        known(figures.price.as_ref().map(ToString::to_string)),
        format!("{:.1}", figures.spare_room_m3 * 1e3),
        known(figures.trays.map(|trays| trays.to_string())),
    ]
}

fn standing(candidate: &caddis_files::CandidateResult) -> String {
    match (
        candidate.standing.as_str(),
        candidate.open_findings,
        candidate.is_settled,
    ) {
        ("arranged", Some(0), _) => "arranged in full, holds".to_owned(),
        ("arranged", Some(open), _) => format!("arranged in full, {open} failing findings open"),
        ("laid-out", _, Some(true)) => "everything can be laid out in it".to_owned(),
        ("laid-out", ..) => "laid out, but its load path asks for more foam than it has".to_owned(),
        ("not-needed", ..) => "may fit, but cannot rank before those above".to_owned(),
        _ => candidate
            .reason
            .as_ref()
            .map_or_else(String::new, |reason| format!("no: {}", reason.sentence)),
    }
}

fn contents(items: &[caddis_files::SplitItemResult]) -> String {
    let words: Vec<String> = items
        .iter()
        .map(|item| format!("{} x {}", item.quantity, item.name))
        .collect();
    words.join(", ")
}

fn table(section: &SelectionSection, job: &Job) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{}: {} shells tried, {} within the outer bounds, ranked by {}",
        job.brief.job, section.tried, section.within_bounds, section.by
    );
    let head = |text: &mut String| {
        let _ = writeln!(
            text,
            "{:>4}  {:<22} {:>8} {:>9} {:>9} {:>12} {:>7} {:>5}  what was found",
            "rank", "shell", "gross kg", "linear cm", "billed kg", "price", "spare L", "trays"
        );
    };
    head(&mut text);
    let mut row = |rank: String, shell: &str, figures: &FiguresResult, words: &str| {
        let [gross, linear, billed, price, spare, trays] = cells(figures);
        let _ = writeln!(
            text,
            "{rank:>4}  {shell:<22} {gross:>8} {linear:>9} {billed:>9} {price:>12} {spare:>7} {trays:>5}  {words}"
        );
    };
    let mut refused = 0;
    for candidate in &section.candidates {
        refused += usize::from(candidate.rank.is_none());
        if refused > SHOWN {
            continue;
        }
        let rank = candidate
            .rank
            .map_or_else(|| "-".to_owned(), |rank| rank.to_string());
        row(rank, &candidate.shell, &candidate.figures, &standing(candidate));
    }
    if let Some(split) = &section.split {
        for (index, case) in split.iter().enumerate() {
            row(
                format!("{}/{}", index + 1, split.len()),
                &case.shell,
                &case.figures,
                &contents(&case.items),
            );
        }
        let _ = writeln!(
            text,
            "no single case does; {} cases hold the packing list",
            split.len()
        );
    }
    if refused > SHOWN {
        let _ = writeln!(
            text,
            "and {} more that do not do; --json or --out DIR has them all",
            refused - SHOWN
        );
    }
    text
}
