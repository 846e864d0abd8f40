//! All documents of the demonstration, and of jobs of more items and layers, against `ReportLab` setting the same pages.
//!
//! Wall seconds of the stage `present` as `caddis present` times it itself, the first load of its faces included: pictures, price
//! breaks, every paper, drawing sheets as DXF, STEP, 3MF, STL, scenes and the result. The reference does less: it sets the
//! pages alone, every word, line and picture at the place where ours lie (read from our PDF files beforehand), and its time
//! leaves out the start of the interpreter. Ours and the reference run in turn; the least of each counts.
//!
//! Then the cost for each item and each layer: generated jobs of once, twice and four times as many equal boxes, and one job cut
//! from stock of full, half and a quarter of a thickness. Linear is a cost for each that does not rise.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_tests::{Folder, caddis, reference, workspace_root};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

const ROUNDS: usize = 3;
/// Boxes in the smallest job.
const ITEMS: usize = 5;
/// Thicknesses of stock, mm, the thickest first.
const STOCK: [u32; 3] = [40, 20, 10];

fn main() {
    let folder = Folder::new();
    demonstration(&folder);
    let library = folder.copy(&workspace_root().join("library"), "library");
    let mut jobs = Vec::new();
    for times in [1, 2, 4] {
        jobs.push((format!("{} items", ITEMS * times), times, ITEMS * times, None));
    }
    for (times, stock) in [1, 2, 4].into_iter().zip(STOCK) {
        jobs.push((format!("stock of {stock} mm"), times, ITEMS, Some(stock)));
    }
    let mut least_each = f64::INFINITY;
    for (case, times, items, stock) in jobs {
        if times == 1 {
            least_each = f64::INFINITY;
        }
        let job = folder.path().join("job");
        // No stack of one thickness ends at the rim of the larger shell.
        let shell = if stock.is_some() {
            "ridgeback-640"
        } else {
            "scree-760"
        };
        write_job(&job, shell, items);
        shop(&library, stock);
        let (seconds, result) = least(&folder, &job, Some(&library));
        let layers = result["shop"]["parts"].as_array().unwrap().len();
        let count = if stock.is_some() { layers } else { items };
        let each = seconds / count as f64;
        least_each = least_each.min(each);
        println!(
            "{}",
            json!({
                "case": case, "items": items, "layers": layers, "ours": seconds, "unit": "s",
                "for_each": each, "for_each_over_least": each / least_each,
            })
        );
    }
}

fn demonstration(folder: &Folder) {
    let job = workspace_root().join("jobs/tindra-ridge");
    let (mut ours, mut theirs) = (f64::INFINITY, f64::INFINITY);
    let mut pages = Value::Null;
    for _ in 0..ROUNDS {
        let (seconds, _) = once(folder, &job, None);
        ours = ours.min(seconds);
        let answer = reference("documents", "pages", [folder.path().join("out")]);
        theirs = theirs.min(answer["seconds"].as_f64().unwrap());
        pages = answer["pages"].clone();
    }
    println!(
        "{}",
        json!({
            "case": "demonstration", "pages": pages, "ours": ours, "unit": "s",
            "reportlab_pages_alone": theirs, "ratio": theirs / ours,
        })
    );
    println!("mean ratio {:.2} to ReportLab", theirs / ours);
}

fn least(folder: &Folder, job: &Path, library: Option<&Path>) -> (f64, Value) {
    let mut best = f64::INFINITY;
    let mut result = Value::Null;
    for _ in 0..ROUNDS {
        let (seconds, last) = once(folder, job, library);
        best = best.min(seconds);
        result = last;
    }
    (best, result)
}

/// Seconds of the papers, and the result.
fn once(folder: &Folder, job: &Path, library: Option<&Path>) -> (f64, Value) {
    let out = folder.path().join("out");
    let mut arguments = vec![
        "present".as_ref(),
        job.as_os_str(),
        "--out".as_ref(),
        out.as_os_str(),
    ];
    arguments.push("--json".as_ref());
    if let Some(library) = library {
        arguments.extend(["--library".as_ref(), library.as_os_str()]);
    }
    let ran = caddis(folder.path(), arguments, &[]);
    // A job that is not released has its papers all the same.
    assert!(matches!(ran.exit, Some(0 | 1)), "{}", ran.stderr);
    let answer = ran.json();
    (
        answer["seconds"]["present"].as_f64().unwrap(),
        answer["result"].clone(),
    )
}

/// A job of so many equal boxes, one of each id.
fn write_job(folder: &Path, shell: &str, items: usize) {
    let mut text = format!(
        "schema = 1\nid = \"BENCH\"\ntitle = \"Boxes\"\ncustomer = \"nobody\"\ndate = \"2026-11-25\"\nsource = \"invented (invented)\"\n\
         shell = \"{shell}\"\nshop = \"coldwater\"\n[foams]\nbase = \"tarn-29\"\nlid = \"mere-24\"\n[handling]\n\
         drop_height = {{ value = \"300 mm\", source = \"invented (invented)\" }}\n[journey]\ntitle = \"by road\"\n\
         [[journey.legs]]\nkind = \"courier-road\"\nlabel = \"by road\"\n[choices]\nseed = 1\nsteps = 100000\n",
    );
    for item in 0..items {
        // Writing to a string cannot fail.
        let _ = write!(
            text,
            "[[items]]\nid = \"box-{item}\"\nname = \"Box {item}\"\nmass = \"0.3 kg ± 0.01 kg\"\nfragility = \"120 G\"\n\
             ways_up = [\"+z\"]\nsize_tolerance = \"0.5 mm\"\n[items.shape.box]\nlength = \"60 mm\"\nwidth = \"50 mm\"\n\
             height = \"45 mm\"\n"
        );
    }
    std::fs::create_dir_all(folder).unwrap();
    std::fs::write(folder.join("job.toml"), text).unwrap();
}

/// The shop's layers of one thickness, or as they are.
fn shop(library: &Path, stock: Option<u32>) {
    let own = std::fs::read_to_string(workspace_root().join("library/shop/coldwater.toml")).unwrap();
    let text: Vec<String> = own
        .lines()
        .map(|line| match stock {
            Some(stock) if line.starts_with("layer_thicknesses") => {
                format!("layer_thicknesses = [\"{stock} mm\"]")
            }
            _ => line.to_owned(),
        })
        .collect();
    std::fs::write(library.join("shop/coldwater.toml"), text.join("\n")).unwrap();
}
