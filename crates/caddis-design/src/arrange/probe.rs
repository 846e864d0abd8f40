#![allow(clippy::all, clippy::pedantic, missing_docs)]
use super::*;
use crate::testing;
use caddis_basis::Quiet;
use std::time::Instant;
#[test]
fn probe() {
    let brief = testing::brief();
    let steps: u64 = std::env::var("STEPS").ok().and_then(|s| s.parse().ok()).unwrap_or(400_000);
    let q = Question::new(&brief).unwrap();
    let t = Instant::now();
    let attempts = q.attempts().unwrap();
    eprintln!("{} attempts in {:?}", attempts.len(), t.elapsed());
    for (i, a) in attempts.iter().enumerate() {
        eprintln!("{i}: share {} notch {} boundary {:.3} top {:.3} base {:?} tray {:?} lid {:?}", a.level.unknown_share, a.room_for_notches, a.stacking.boundary(), a.stacking.top(), a.stacking.base.stock, a.stacking.tray.as_ref().map(|t| t.stock.clone()), a.stacking.lid.stock);
    }
    for (i, ways) in q.ways.iter().enumerate() {
        let n = crate::cushion::needs(&brief, i, &ways[0].faces, &[crate::cushion::Load::NONE; 6], &crate::cushion::Level::FULL);
        eprintln!("{} h {:.0} needs {:?} slabs {}", brief.items[i].id, ways[0].height() * 1e3, n.map(|x| (x * 1e3).round()), ways[0].body.slabs.len());
    }
    let watch = Watch::new(&Quiet, 1);
    let options = ArrangeOptions { seed: 7, steps, workers: 2 };
    for a in &attempts[..6] {
        let t = Instant::now();
        let run = attempt::run(&q, a, &options, steps / 13, &watch);
        let words = match &run.tried {
            Tried::Settled(f) => format!("settled spare {:.4} imb {:.3}", f.layout.spare, f.layout.imbalance),
            Tried::Loose(f) => format!("loose spare {:.4} short {}", f.layout.spare, f.shortfalls),
            Tried::Nothing(r) => format!("nothing: {:?}", r.iter().map(|r| &r.sentence).collect::<Vec<_>>()),
        };
        eprintln!("boundary {:.3} notch {} share {}: {} rounds {} steps {} in {:?}", a.stacking.boundary(), a.room_for_notches, a.level.unknown_share, words, run.rounds, run.steps, t.elapsed());
    }
    let t = Instant::now();
    let interior = arrange(&brief, &options, &Quiet).into_result().unwrap();
    eprintln!("arrange {:?} steps {} rounds {} spare {}", t.elapsed(), interior.steps, interior.rounds, interior.spare);
    for p in &interior.places {
        let c = interior.cavities.iter().find(|c| c.instance == p.instance).unwrap();
        eprintln!("{} {} at {:.3},{:.3} z {:.3} tier {} steps {} notches {}", p.number, p.instance, p.at.x, p.at.y, p.bottom, p.tier, c.steps.len(), interior.notches.iter().filter(|n| n.cavity == c.id).count());
    }
    let t = Instant::now();
    let v = crate::verify(&interior, &brief, &crate::Checks::default(), &Quiet);
    eprintln!("verify {:?}", t.elapsed());
    for f in v.findings.iter().filter(|f| f.severity == caddis_basis::Severity::Failing) {
        eprintln!("  {} {} {}", f.code, f.place, f.sentence);
    }
    for i in &v.items { for d in &i.directions { if d.verdict == caddis_basis::Verdict::Fails { eprintln!("{:?}", d); let s = d.direction; eprintln!("place {:?}", interior.places.iter().find(|p| p.instance == i.instance).map(|p| (p.at, p.bottom))); let _ = s; } } }
}
