//! The specimen job, arranged once for all tests of a file.

#[path = "../../examples/specimen/job.rs"]
pub(crate) mod job;

use caddis_basis::Quiet;
use caddis_design::{ArrangeOptions, Brief, Checks, Interior, Verification, arrange, verify};
use caddis_documents::Pictures;
use caddis_shop::{ShopSet, make};
use std::sync::OnceLock;

pub(crate) struct Specimen {
    pub(crate) brief: Brief,
    pub(crate) interior: Interior,
    pub(crate) verification: Verification,
    pub(crate) set: ShopSet,
    pub(crate) pictures: Pictures,
}

/// The specimen, arranged once.
pub(crate) fn specimen() -> &'static Specimen {
    static SPECIMEN: OnceLock<Specimen> = OnceLock::new();
    SPECIMEN.get_or_init(|| {
        let brief = job::brief();
        let options = ArrangeOptions {
            seed: 1,
            steps: 400_000,
            workers: 2,
        };
        let interior = arrange(&brief, &options, &Quiet).into_result().unwrap();
        let verification = verify(&interior, &brief, &Checks::default(), &Quiet);
        let set = make(&interior, &brief, &job::shop(), 1, &Quiet).unwrap();
        let pictures = Pictures::of(&brief, &interior, 2).unwrap();
        Specimen {
            brief,
            interior,
            verification,
            set,
            pictures,
        }
    })
}
