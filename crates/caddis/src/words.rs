//! What a person reads on standard error: findings, release, times.

use crate::stages::Times;
use caddis_basis::{Finding, Severity};
use caddis_design::{Blocked, Release};

/// Failing and cautionary findings, one paragraph each.
pub(crate) fn findings(findings: &[Finding]) {
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    eprintln!(
        "findings: {} failing, {} cautions, {} notes",
        count(Severity::Failing),
        count(Severity::Caution),
        count(Severity::Note)
    );
    for finding in findings.iter().filter(|f| f.severity == Severity::Failing) {
        eprintln!("  {} {}: {}", finding.severity, finding.code, finding.sentence);
        if let Some(margin) = &finding.margin {
            eprintln!("    at {}: {margin}", finding.place);
        }
        if let Some(remedy) = &finding.remedy {
            eprintln!("    remedy: {remedy}");
        }
    }
}

/// Whether it is released, and on whose word.
pub(crate) fn release(release: &Result<Release, Blocked>) {
    match release {
        Ok(release) => {
            eprintln!("released");
            for (finding, concession) in release.conceded() {
                eprintln!(
                    "  conceded: {} at {}, by {} on {}: {}",
                    finding.code, finding.place, concession.signer.name, concession.date, concession.reason
                );
            }
        }
        Err(blocked) => {
            eprintln!(
                "NOT RELEASED: {} failing findings are open; no cut files are written",
                blocked.open.len()
            );
            for finding in &blocked.open {
                eprintln!("  open: {} at {}", finding.code, finding.place);
            }
            for (concession, reason) in &blocked.void {
                eprintln!(
                    "  concession on {} at {} is void: {reason}",
                    concession.code, concession.place
                );
            }
        }
    }
}

/// The time of each stage.
pub(crate) fn times(times: &Times) {
    for (stage, time) in &times.0 {
        eprintln!("{stage:<10} {:>8.3} s", time.as_secs_f64());
    }
    let total: f64 = times.0.iter().map(|(_, time)| time.as_secs_f64()).sum();
    eprintln!("{:<10} {total:>8.3} s", "total");
}
