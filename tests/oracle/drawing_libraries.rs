//! ezdxf 1.4 (M. Moitzi and others, MIT), lxml, shapely 2.2, pypdf 7, `PDFium`, `ZXing` and `LibreOffice`, run beside Caddis on the
//! demonstration's output.
//!
//! A second program's reading of the finished files against `result.json`; no published number. Most rows count what is
//! wrong, so that the expected value is nought whatever the demonstration holds.

use crate::{Chapter, pseudo};
use caddis_basis::{Certainty, Source};
use caddis_tests::{Allowed, Folder, Row, caddis, second_opinion, workspace_root};
use serde_json::Value;
use std::path::Path;

fn row(answer: &Value, key: &str, libraries: &str, method: &'static str, problem: &str) -> Row {
    Row {
        method,
        problem: problem.into(),
        source: Source::new(
            format!("{libraries}, run on the demonstration's files"),
            Certainty::Derived,
        ),
        unit: "",
        expected: 0.0,
        got: answer[key]
            .as_f64()
            .unwrap_or_else(|| panic!("no answer on {key}: {answer}")),
        allowed: Allowed::Within(0.0),
    }
}

fn within(mut row: Row, unit: &'static str, amount: f64) -> Row {
    row.unit = unit;
    row.allowed = Allowed::Within(amount);
    // The page says that it is small, not the last bits of it.
    if row.holds() {
        row.got = 0.0;
    }
    row
}

pub(crate) fn chapter(out: &Path) -> Chapter {
    let cut = second_opinion("cut_files", [out.as_os_str()]);
    assert!(
        cut["files"].as_f64().unwrap() >= 4.0,
        "there are cut files: {cut}"
    );
    let nests = second_opinion("nests", [out.as_os_str()]);
    let papers = second_opinion("papers", [out.as_os_str()]);
    let (ezdxf, shapely, pypdf) = ("ezdxf 1.4", "ezdxf 1.4 and shapely 2.2", "pypdf 7");
    let (pdfium, both) = ("PDFium by pypdfium2 5", "pypdf 7 and PDFium by pypdfium2 5");
    let mut rows = vec![
        row(
            &cut,
            "errors",
            ezdxf,
            "cut files, DXF",
            "errors found by the audit",
        ),
        row(
            &cut,
            "fixes",
            ezdxf,
            "cut files, DXF",
            "things the reader had to mend",
        ),
        row(
            &cut,
            "not_mm",
            ezdxf,
            "cut files, DXF",
            "files whose unit is not millimetres",
        ),
        row(
            &cut,
            "without_net",
            ezdxf,
            "cut files, DXF",
            "files that do not say NET",
        ),
        row(&cut, "no_file", ezdxf, "cut files, DXF", "parts without a file"),
        row(
            &cut,
            "closed_outlines",
            ezdxf,
            "cut files, DXF",
            "closed outlines too many or too few",
        ),
        row(
            &cut,
            "arcs",
            ezdxf,
            "cut files, DXF",
            "true arcs too many or too few",
        ),
        row(
            &cut,
            "pocket_layers",
            ezdxf,
            "cut files, DXF",
            "pocket depths without a layer of their own",
        ),
        within(
            row(
                &cut,
                "extents",
                ezdxf,
                "cut files, DXF",
                "largest difference of a part's extents",
            ),
            "mm",
            1e-3,
        ),
        within(
            row(
                &cut,
                "areas",
                shapely,
                "cut files, DXF",
                "largest difference of a part's net area, as a fraction",
            ),
            "",
            1e-4,
        ),
        within(
            row(
                &cut,
                "svg_scale",
                "lxml 6",
                "cut files, SVG",
                "largest difference of width or height from 1:1",
            ),
            "mm",
            1e-9,
        ),
        row(
            &cut,
            "svg_paths",
            "lxml 6",
            "cut files, SVG",
            "outlines too many or too few beside the DXF",
        ),
        row(
            &nests,
            "not_once",
            "shapely 2.2",
            "nests",
            "parts that do not lie on exactly one sheet",
        ),
        within(
            row(
                &nests,
                "overlap",
                "shapely 2.2",
                "nests",
                "largest area two parts share",
            ),
            "mm²",
            1e-3,
        ),
        within(
            row(
                &nests,
                "outside",
                "shapely 2.2",
                "nests",
                "largest area of a part beyond its sheet",
            ),
            "mm²",
            1e-3,
        ),
        within(
            row(
                &nests,
                "yield",
                "shapely 2.2",
                "nests",
                "largest difference of a sheet's foam yield, outlines over sheet",
            ),
            "",
            1e-4,
        ),
        row(
            &papers,
            "misnumbered",
            pypdf,
            "report",
            "pages not numbered n of m",
        ),
        row(&papers, "empty", pypdf, "report", "pages without text"),
        row(
            &papers,
            "page_counts",
            both,
            "every paper",
            "pages that one reader counts and the other does not",
        ),
        row(
            &papers,
            "loose_faces",
            pypdf,
            "every paper",
            "faces that are not embedded",
        ),
        row(
            &papers,
            "silent_pages",
            pdfium,
            "every paper",
            "pages without text",
        ),
        row(
            &papers,
            "text_on_text",
            pdfium,
            "every paper",
            "letters that lie on other letters",
        ),
        row(
            &papers,
            "off_the_page",
            pdfium,
            "every paper",
            "letters beyond the page",
        ),
        row(
            &papers,
            "code_unread",
            "PDFium and ZXing 3",
            "labels",
            "square codes that do not read back the job",
        ),
    ];
    let workbook = second_opinion("workbook", [out.as_os_str()]);
    assert!(
        workbook["formulas"].as_f64().unwrap() >= 20.0,
        "the workbook computes: {workbook}"
    );
    for (key, problem) in [
        (
            "recomputed",
            "largest difference of a formula from its kept result",
        ),
        ("price", "difference of its price from `result.json`"),
        (
            "moved",
            "difference of its price from cost / (1 - margin) for another margin",
        ),
    ] {
        let formulas = row(
            &workbook,
            key,
            "formulas 1.3 and openpyxl 3.1",
            "bill, workbook",
            problem,
        );
        rows.push(within(formulas, "money", 0.005));
    }
    let program = std::env::var_os("CADDIS_SOFFICE")
        .expect("CADDIS_SOFFICE names the spreadsheet program: . scripts/need.sh; need_spreadsheet");
    let again = second_opinion("recalculated", [out.as_os_str(), program.as_os_str()]);
    assert_eq!(again["formulas"], workbook["formulas"], "{again}");
    for (key, problem, unit, amount) in [
        (
            "not_struck",
            "formulas whose kept result was not struck out first",
            "",
            0.0,
        ),
        (
            "recalculated",
            "largest difference of a formula from its kept result",
            "money",
            0.005,
        ),
        ("errors", "cells that show an error", "", 0.0),
    ] {
        rows.push(within(
            row(&again, key, "LibreOffice", "bill, workbook", problem),
            unit,
            amount,
        ));
    }
    let sheets = second_opinion("sheet_files", [out.as_os_str()]);
    assert!(
        sheets["files"].as_f64().unwrap() >= 5.0,
        "there are drawing sheets: {sheets}"
    );
    for (key, libraries, problem, unit, amount) in [
        ("errors", ezdxf, "errors found by the audit", "", 0.0),
        ("fixes", ezdxf, "things the reader had to mend", "", 0.0),
        ("not_mm", ezdxf, "files whose unit is not millimetres", "", 0.0),
        ("empty", ezdxf, "sheets of fewer than 20 things", "", 0.0),
        (
            "styles",
            ezdxf,
            "words in a style that is not there, or lower than 2.5 mm",
            "",
            0.0,
        ),
        (
            "pages",
            "ezdxf 1.4 and pypdf 7",
            "files more or fewer than pages of `drawings.pdf`",
            "",
            0.0,
        ),
        (
            "paper",
            "ezdxf 1.4 and pypdf 7",
            "largest difference of a sheet's size from its page",
            "mm",
            0.01,
        ),
        (
            "off_the_paper",
            ezdxf,
            "how far lines leave the paper",
            "mm",
            1e-6,
        ),
        (
            "words",
            "ezdxf 1.4 and pypdf 7",
            "words that the page does not say",
            "",
            0.0,
        ),
    ] {
        rows.push(within(
            row(&sheets, key, libraries, "drawing sheets, DXF", problem),
            unit,
            amount,
        ));
    }
    let mut missing = row(
        &papers,
        "words",
        pypdf,
        "report",
        "titles, items and part marks not found in its text",
    );
    missing.got = papers["missing"].as_array().unwrap().len() as f64;
    assert!(missing.holds(), "report.pdf does not say: {}", papers["missing"]);
    rows.push(missing);
    assert!(
        papers["papers"].as_f64().unwrap() >= 6.0,
        "there are papers: {papers}"
    );
    assert!(
        papers["pages"].as_f64().unwrap() >= 5.0,
        "a report has pages: {papers}"
    );
    rows.extend(check_print(out));
    rows.extend(in_another_language(pdfium));
    Chapter {
        title: "Cut files, nests and report",
        about: "The demonstration's drawings and papers as other programs read them, against `result.json`. A number \
                within its tolerance is shown as 0.",
        rows,
    }
}

/// The tiles of the check print put together by their frames are the plan.
fn check_print(out: &Path) -> Vec<Row> {
    let answer = second_opinion("check_print", [out.as_os_str()]);
    for (key, least) in [("tiles", 4.0), ("samples", 2000.0), ("crossings", 50.0)] {
        assert!(
            answer[key].as_f64().is_some_and(|count| count >= least),
            "there are {key}: {answer}"
        );
    }
    let (pdfium, both) = ("PDFium by pypdfium2 5", "PDFium by pypdfium2 5 and shapely 2.2");
    [
        (
            "frames",
            pdfium,
            "frames that do not meet their neighbours",
            "mm",
            0.01,
        ),
        (
            "placed",
            both,
            "largest distance of an outline's box from the plan, put together by the frames",
            "mm",
            0.01,
        ),
        (
            "printed",
            both,
            "largest distance of the plan's lines from what is printed on their tile at 200 dots an inch",
            "mm",
            0.13,
        ),
        (
            "flaps",
            both,
            "the same on the flaps that neighbours are laid on",
            "mm",
            0.13,
        ),
        (
            "unprinted",
            both,
            "points of the plan's lines on no tile",
            "",
            0.0,
        ),
        (
            "doubled",
            both,
            "points of the plan's lines on several tiles",
            "",
            0.0,
        ),
        (
            "bar",
            pdfium,
            "largest difference of a tile's bar from 100 mm",
            "mm",
            0.001,
        ),
    ]
    .map(|(key, libraries, problem, unit, amount)| {
        within(row(&answer, key, libraries, "check print", problem), unit, amount)
    })
    .into()
}

/// The demonstration's papers with every word a third longer and accented: what runs into its neighbour in any language does so here.
fn in_another_language(pdfium: &str) -> [Row; 4] {
    let folder = Folder::new();
    let library = folder.copy(&workspace_root().join("library"), "library");
    let languages = library.join("languages");
    std::fs::create_dir_all(&languages).unwrap();
    std::fs::write(languages.join("xx.ftl"), pseudo::catalogue()).unwrap();
    let out = folder.path().join("out");
    let job = workspace_root().join("jobs/tindra-ridge");
    let arguments = [
        "present".as_ref(),
        job.as_os_str(),
        "--out".as_ref(),
        out.as_os_str(),
        "--library".as_ref(),
        library.as_os_str(),
        "--language".as_ref(),
        "xx".as_ref(),
    ];
    let ran = caddis(folder.path(), arguments, &[]);
    assert_eq!(ran.exit, Some(0), "{}", ran.stderr);
    let answer = second_opinion("every_paper", [out.as_os_str()]);
    assert!(
        answer["papers"].as_f64().unwrap() >= 6.0,
        "there are papers: {answer}"
    );
    let words = second_opinion(
        "strange_words",
        [out.as_os_str(), job.as_os_str(), library.as_os_str()],
    );
    assert_eq!(
        words["strange_words"], 0,
        "words in no catalogue: {:#}",
        words["where"]
    );
    [
        (&answer, "silent_pages", "pages without text"),
        (&answer, "text_on_text", "letters that lie on other letters"),
        (&answer, "off_the_page", "letters beyond the page"),
        (
            &words,
            "strange_words",
            "words that neither the catalogue nor the job, the library or a citation says",
        ),
    ]
    .map(|(answer, key, problem)| row(answer, key, pdfium, "every paper, words a third longer", problem))
}
