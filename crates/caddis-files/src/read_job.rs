//! A job folder becomes a brief.

use crate::carriage_limits::read_carriage_limits;
use crate::document::{Document, one_of};
use crate::drop_height::drop_height;
use crate::error::{Fault, FileError, FilePlace};
use crate::files::{inside, read, shown, unresolved};
use crate::foam::{read_foam, read_foam_vibration};
use crate::furnishing::furnishing;
use crate::item::{ItemFault, ShapeFile, check_unique, item};
use crate::job::{JobFile, ShareFile, check_date, concessions};
use crate::journey::{batteries, journey, valve};
use crate::language::Language;
use crate::library::{EntryKind, Library};
use crate::manifest::ManifestFile;
use crate::photos::read_photos;
use crate::process::read_process;
use crate::scatter::scatter;
use crate::shape::{ShapeReader, ShapeRequest};
use crate::shell::{read_shell, remove_intrusions};
use crate::shop::read_shop;
use crate::stock::read_offcuts;
use crate::vibration::{item_vibration, leg_vibration};
use crate::wishes::wishes;
use crate::wishes_fit::wishes_fit;
use crate::written::{Bench, parse_source};
use caddis_basis::{Certainty, Mass, Measured, Name, Said, Source};
use caddis_design::{Brief, Handling, Measure, VibrationBrief};
use caddis_protection::Foam;
use caddis_protection::drop::MOST_FRICTION;
use caddis_shop::Shop;
use caddis_survey::{Doubt, ItemShape, MeshReport, Profile, Shell, outer_hull};
use std::collections::BTreeMap;
use std::path::Path;

/// Who chooses the shell.
#[derive(Debug, Clone, PartialEq)]
pub enum Choice {
    /// The job names it.
    Named,
    /// The job leaves it open (`shell = "auto"`): until one is selected the brief holds the first of these.
    Auto {
        /// The library's shells, by name.
        shells: Vec<Shell>,
        /// What to rank them by.
        by: Measure,
    },
}

/// A job read whole.
#[derive(Debug, Clone)]
pub struct Job {
    /// The question.
    pub brief: Brief,
    /// Who chooses the shell.
    pub choice: Choice,
    /// The shop, the offcuts on its rack among its stock.
    pub shop: Shop,
    /// The shop's name in the library.
    pub shop_entry: String,
    /// The language of papers.
    pub language: Language,
    /// Seed of the search.
    pub seed: u64,
    /// Step budget of the search.
    pub steps: u64,
    /// ISO date in the file, if it states one.
    pub date: Option<String>,
    /// What was done to each mesh file, by item id.
    pub meshes: BTreeMap<String, MeshReport>,
    /// Photos of the shell, where the job names it, by the names its survey gives them.
    pub photos: BTreeMap<String, Vec<u8>>,
    /// Everything it was read from: `job.toml` first, then the library (`library/…`), then shapes in the items' order.
    pub inputs: Vec<ManifestFile>,
}

/// Reads `job.toml` in `folder` and all it names.
///
/// # Errors
/// A missing file (saying where it was looked for), a shape outside the folder, anything written wrong: each with
/// file, line, field and what would do.
pub fn read_job(folder: &Path, library: &Library, shapes: &dyn ShapeReader) -> Result<Job, FileError> {
    read_job_cut_by(folder, library, shapes, None)
}

/// Reads a job as if it named this process of the shop's.
///
/// # Errors
/// As [`read_job`]; a process the shop does not offer.
pub fn read_job_cut_by(
    folder: &Path,
    library: &Library,
    shapes: &dyn ShapeReader,
    process: Option<&str>,
) -> Result<Job, FileError> {
    let path = folder.join("job.toml");
    let file = shown(&path);
    if !path.is_file() {
        return Err(FileError::Missing {
            place: Box::new(FilePlace {
                file: shown(folder),
                line: None,
                field: String::new(),
            }),
            what: "job".to_owned(),
            looked: vec![file],
            hint: Some("name a folder that holds a `job.toml`; `caddis new DIR` makes one".to_owned()),
        });
    }
    let bytes = read(&path)?;
    let document = Document::new(&bytes, &file)?;
    let written: JobFile = document.parse()?;
    let locate = |fault: Fault| document.locate(fault);
    let mut inputs = vec![ManifestFile::of("job.toml", &bytes)];

    let mut bench = Bench::new(written.units.as_deref()).map_err(locate)?;
    bench.default_source = written
        .source
        .as_ref()
        .map(|text| parse_source(text, "source"))
        .transpose()
        .map_err(locate)?;
    check_texts(&written).map_err(locate)?;

    let mut entry = |kind: EntryKind, name: &str, field: &str| {
        let entry = library.find(kind, name, document.place(field))?;
        inputs.push(ManifestFile::of(
            format!("library/{}/{name}.toml", kind.folder()),
            &entry.bytes,
        ));
        Ok::<_, FileError>(entry)
    };
    let by = rank_by(&written).map_err(locate)?;
    let mut photos = BTreeMap::new();
    let (shell, choice) = if written.shell == "auto" {
        if !written.removed.is_empty() {
            return Err(locate(
                Fault::new(
                    "removed",
                    "intrusions of one shell are named, but the shell is chosen",
                )
                .hint("name the shell, or leave `removed` out"),
            ));
        }
        let mut shells = Vec::new();
        for name in library.names(EntryKind::Shell) {
            let found = entry(EntryKind::Shell, &name, "shell")?;
            shells.push(read_shell(&found.bytes, &name, &shown(&found.path))?);
        }
        let Some(first) = shells.first().cloned() else {
            return Err(locate(
                Fault::new(
                    "shell",
                    "`auto` asks for a choice, but the library holds no shell",
                )
                .hint("name the library's folder with --library"),
            ));
        };
        (first, Choice::Auto { shells, by })
    } else {
        let found = entry(EntryKind::Shell, &written.shell, "shell")?;
        let mut shell = read_shell(&found.bytes, &written.shell, &shown(&found.path))?;
        remove_intrusions(&mut shell, &written.removed, "removed").map_err(locate)?;
        photos = read_photos(&found.path, &shell)?;
        (shell, Choice::Named)
    };
    let mut photographed: Vec<ManifestFile> = photos
        .iter()
        .map(|(name, bytes): (&String, &Vec<u8>)| ManifestFile::of(format!("library/shells/{name}"), bytes))
        .collect();
    let found = entry(EntryKind::Foam, &written.foams.base, "foams.base")?;
    let mut foams = vec![read_foam(&found.bytes, &written.foams.base, &shown(&found.path))?];
    let mut foam_vibration = vec![read_foam_vibration(&found.bytes, &shown(&found.path))?];
    let lid_foam = if written.foams.lid == written.foams.base {
        0
    } else {
        let found = entry(EntryKind::Foam, &written.foams.lid, "foams.lid")?;
        foams.push(read_foam(&found.bytes, &written.foams.lid, &shown(&found.path))?);
        foam_vibration.push(read_foam_vibration(&found.bytes, &shown(&found.path))?);
        1
    };
    let found = entry(EntryKind::Shop, &written.shop, "shop")?;
    let mut find = |name: &str| {
        let found = entry(EntryKind::Process, name, "process")?;
        read_process(&found.bytes, &shown(&found.path))
    };
    let mut shop = read_shop(
        &found.bytes,
        &shown(&found.path),
        process.or(written.process.as_deref()),
        &mut find,
    )?;
    let shops = library.names(EntryKind::Shop);
    for name in library.names(EntryKind::Offcuts) {
        let found = entry(EntryKind::Offcuts, &name, "shop")?;
        shop.shop.stock.extend(read_offcuts(
            &found.bytes,
            &shown(&found.path),
            (&written.shop, &shops),
            shop.shop.currency,
        )?);
    }
    let language = library.language(
        &shop.language,
        FilePlace {
            file: shown(&found.path),
            line: None,
            field: "language".to_owned(),
        },
    )?;
    let limits = written.journey.limits.as_deref().unwrap_or("common-practice");
    let found = entry(EntryKind::Journey, limits, "journey.limits")?;
    let limits = read_carriage_limits(&found.bytes, &shown(&found.path))?;

    inputs.append(&mut photographed);
    let mut meshes = BTreeMap::new();
    let mut items = Vec::new();
    let mut all_batteries = Vec::new();
    for (index, written) in written.items.iter().enumerate() {
        let path = format!("items[{index}]");
        let mut read_shape = |field: &str, name: &str, unit, profile: Option<&Profile>| {
            let path = inside(folder, name)
                .map_err(|why| ItemFault::File(unresolved(document.place(field), name, folder, why)))?;
            let bytes = read(&path).map_err(ItemFault::File)?;
            let (mesh, report) = shapes
                .read(&ShapeRequest {
                    bytes: &bytes,
                    name: &Name::new(name),
                    unit,
                    profile,
                })
                .map_err(|message| ItemFault::Fault(split_advice(field, &message)))?;
            inputs.push(ManifestFile::of(name, &bytes));
            let mut doubts: Vec<Said> = report.doubts.iter().map(Doubt::said).collect();
            let mesh = if matches!(&written.shape, ShapeFile::Mesh(of) if of.hull) {
                let (hull, sentence) = outer_hull(&mesh, report.widest_hole).ok_or_else(|| {
                    ItemFault::Fault(
                        Fault::new(field, format!("{name} lies in one plane and has no hull"))
                            .hint("give the item a `box` of its outside measures instead"),
                    )
                })?;
                doubts.push(sentence);
                hull
            } else {
                mesh
            };
            meshes.insert(written.id.clone(), report);
            Ok(ItemShape::Mesh {
                mesh,
                file: name.to_owned(),
                doubts,
            })
        };
        let converted = item(&bench, written, &path, &mut read_shape).map_err(|fault| match fault {
            ItemFault::Fault(fault) => document.locate(fault),
            ItemFault::File(error) => error,
        })?;
        all_batteries.extend(
            batteries(&bench, &written.batteries, &written.name, written.quantity, &path)
                .map_err(|fault| document.locate(fault))?,
        );
        items.push(converted);
    }

    let sundries = match &written.sundries {
        Some(sundries) => bench.measured(sundries, "sundries").map_err(locate)?,
        None => Measured {
            value: Mass::ZERO,
            plus_minus: None,
            source: Some(Source::new("the job names none", Certainty::Defined)),
        },
    };
    let journey = journey(&bench, &written.journey, limits).map_err(locate)?;
    let (drop_height, drop_source) =
        drop_height(&bench, &written, &shell, &items, &sundries, &journey).map_err(locate)?;
    let vibration = VibrationBrief {
        foams: foam_vibration,
        items: written
            .items
            .iter()
            .enumerate()
            .map(|(index, item)| item_vibration(&bench, item, &format!("items[{index}]")))
            .collect::<Result<_, _>>()
            .map_err(locate)?,
        legs: {
            let mut read_file = |field: &str, name: &str| {
                let path = inside(folder, name)
                    .map_err(|why| ItemFault::File(unresolved(document.place(field), name, folder, why)))?;
                let bytes = read(&path).map_err(ItemFault::File)?;
                inputs.push(ManifestFile::of(name, &bytes));
                Ok(bytes)
            };
            leg_vibration(&bench, &written.journey.legs, &mut read_file).map_err(|fault| match fault {
                ItemFault::Fault(fault) => document.locate(fault),
                ItemFault::File(error) => error,
            })?
        },
    };
    let wishes = wishes(&bench, &written.wishes, &items).map_err(locate)?;
    let clearances = written
        .clearances
        .over(&shop.clearances, &bench, "clearances")
        .map_err(locate)?;
    let furnishing = furnishing(
        &bench,
        &written.interior,
        (&items, &clearances),
        (&shop.shop, &written.foams.base),
    )
    .map_err(locate)?;
    let brief = Brief {
        job: written.id.clone(),
        title: written.title.clone(),
        customer: written.customer.clone(),
        shell,
        items,
        foams,
        base_foam: 0,
        lid_foam,
        journey,
        handling: Handling {
            drop_height,
            source: drop_source,
            stored_long: written.handling.stored_long,
            scatter: scatter(&bench, written.handling.scatter.as_ref()).map_err(locate)?,
            foam_friction: friction(written.handling.foam_friction.as_ref()).map_err(locate)?,
            shell_rebound: rebound(written.handling.shell_rebound.as_ref()).map_err(locate)?,
        },
        clearances,
        sundries,
        batteries: all_batteries,
        valve: valve(written.valve.as_deref()).map_err(locate)?,
        lid_area: written
            .lid_area
            .as_ref()
            .map(|area| bench.positive(area, "lid_area"))
            .transpose()
            .map_err(locate)?,
        vibration,
        wishes,
        furnishing,
        concessions: concessions(&written.concessions).map_err(locate)?,
    };
    wishes_fit(&brief, matches!(choice, Choice::Auto { .. })).map_err(locate)?;
    if let Some(text) = &language.text {
        inputs.push(ManifestFile::of(
            format!("library/languages/{}.ftl", language.tag),
            text.as_bytes(),
        ));
    }
    Ok(Job {
        brief,
        choice,
        shop: shop.shop,
        shop_entry: written.shop,
        language,
        seed: written.choices.seed,
        steps: written.choices.steps,
        date: written.date.clone(),
        meshes,
        photos,
        inputs,
    })
}

fn friction(written: Option<&ShareFile>) -> Result<Option<(f64, Source)>, Fault> {
    let hint = format!(
        "force along the foam over force on it, above 0 and at most {MOST_FRICTION}; leave it out where nobody measured it"
    );
    stated_share(
        written,
        "handling.foam_friction",
        MOST_FRICTION,
        "coefficient of friction",
        hint,
    )
}

fn rebound(written: Option<&ShareFile>) -> Result<Option<(f64, Source)>, Fault> {
    let hint = "speed after the impact over speed before, above 0 and at most 1; leave it out where nobody measured it";
    stated_share(
        written,
        "handling.shell_rebound",
        1.0,
        "rebound of a shell",
        hint.to_owned(),
    )
}

fn stated_share(
    written: Option<&ShareFile>,
    field: &str,
    most: f64,
    what: &str,
    hint: String,
) -> Result<Option<(f64, Source)>, Fault> {
    let Some(written) = written else { return Ok(None) };
    if !(written.value > 0.0 && written.value <= most) {
        let field = format!("{field}.value");
        return Err(Fault::new(field, format!("{} is no {what}", written.value)).hint(hint));
    }
    let source = parse_source(&written.source, &format!("{field}.source"))?;
    Ok(Some((written.value, source)))
}

/// Every shell of a library, by name.
///
/// # Errors
/// A shell that cannot be read, with file, line and field.
pub fn read_shells(library: &Library) -> Result<Vec<Shell>, FileError> {
    library
        .names(EntryKind::Shell)
        .into_iter()
        .filter_map(|name| library.path(EntryKind::Shell, &name).map(|path| (name, path)))
        .map(|(name, path)| read_shell(&read(&path)?, &name, &shown(&path)))
        .collect()
}

/// Every foam of a library, by name.
///
/// # Errors
/// A foam that cannot be read, with file, line and field.
pub fn read_foams(library: &Library) -> Result<Vec<Foam>, FileError> {
    library
        .names(EntryKind::Foam)
        .into_iter()
        .filter_map(|name| library.path(EntryKind::Foam, &name).map(|path| (name, path)))
        .map(|(name, path)| read_foam(&read(&path)?, &name, &shown(&path)))
        .collect()
}

/// What an open choice is ranked by.
fn rank_by(written: &JobFile) -> Result<Measure, Fault> {
    let Some(text) = &written.choices.rank_by else {
        return Ok(Measure::GrossMass);
    };
    Measure::parse(text).ok_or_else(|| {
        let known: Vec<&str> = Measure::ALL.iter().map(|measure| measure.as_str()).collect();
        Fault::new(
            "choices.rank_by",
            format!("`{text}` is nothing to rank shells by"),
        )
        .hint(one_of(text, &known))
    })
}

/// What can be told without the library.
fn check_texts(written: &JobFile) -> Result<(), Fault> {
    for (field, text) in [
        ("id", &written.id),
        ("title", &written.title),
        ("customer", &written.customer),
    ] {
        if text.trim().is_empty() {
            return Err(Fault::new(field, format!("the {field} is empty")).hint("papers and marks need it"));
        }
    }
    if let Some(date) = &written.date {
        check_date(date, "date")?;
    }
    if written.items.is_empty() {
        return Err(Fault::new("items", "there is nothing to pack").hint("add at least one `[[items]]`"));
    }
    if written.choices.steps == 0 {
        return Err(Fault::new("choices.steps", "0 steps find nothing").hint("give e.g. 200000"));
    }
    check_unique(&written.items)
}

fn split_advice(field: &str, message: &str) -> Fault {
    match message.split_once("; ") {
        Some((problem, hint)) => Fault::new(field, problem).hint(hint),
        None => Fault::new(field, message),
    }
}
