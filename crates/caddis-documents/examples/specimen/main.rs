//! A specimen of every document of a small invented job, written to the folder named as the argument.

mod job;

use caddis_basis::{Outcome, Quiet};
use caddis_design::{ArrangeOptions, Checks, arrange, release, verify};
use caddis_documents::{
    PaperInput, Pictures, Section, Words, case_plan, exploded, open_case, packing_plan, report, scene,
    section_drawing, svg,
};
use caddis_shop::make;
use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder to write to")?;
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let (brief, shop) = (job::brief(), job::shop());
    let options = ArrangeOptions {
        seed: 1,
        steps: 400_000,
        workers: 2,
    };
    let interior = match arrange(&brief, &options, &Quiet) {
        Outcome::Complete(interior)
        | Outcome::Stopped {
            best: Some(interior), ..
        } => interior,
        Outcome::Stopped { best: None, steps } => {
            return Err(format!("no layout within {steps} steps").into());
        }
        Outcome::Impossible { reasons } => {
            let reasons: Vec<String> = reasons
                .into_iter()
                .map(|reason| reason.sentence.to_string())
                .collect();
            return Err(reasons.join("; ").into());
        }
    };
    let verification = verify(&interior, &brief, &Checks::default(), &Quiet);
    let set = make(&interior, &brief, &shop, 1, &Quiet)?;
    let right = release(&verification, &brief.concessions);
    let pictures = Pictures::of(&brief, &interior, 2)?;
    let document = report(&PaperInput {
        brief: &brief,
        interior: &interior,
        verification: &verification,
        release: right.as_ref().ok(),
        shop: &shop,
        set: &set,
        pictures: &pictures,
        words: Words::english(),
        date: "2026-11-25",
        revision: "A",
        version: env!("CARGO_PKG_VERSION"),
    })?;
    std::fs::write(folder.join(&document.name), &document.bytes)?;
    let scene = scene(&brief, &interior);
    std::fs::write(folder.join(&scene.name), &scene.bytes)?;
    let sheets = [
        ("plan", case_plan(Words::english(), &brief, &interior)),
        (
            "long",
            section_drawing(Words::english(), &brief, &interior, Section::Long),
        ),
        (
            "cross",
            section_drawing(Words::english(), &brief, &interior, Section::Cross),
        ),
        (
            "tier-1",
            packing_plan(Words::english(), &brief, &interior, Some(0)),
        ),
    ];
    for (name, sheet) in sheets {
        std::fs::write(folder.join(format!("{name}.svg")), svg(&sheet))?;
    }
    let pictures = [
        ("open-case", open_case(&brief, &interior, 1200, 900)),
        ("exploded", exploded(&brief, &interior, 1000, 1300)),
    ];
    for (name, picture) in pictures {
        std::fs::write(folder.join(format!("{name}.png")), picture.png()?)?;
    }
    Ok(())
}
