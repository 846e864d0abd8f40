//! The interior: arrange it, pack it, verify it, release it.
//!
//! Guarantees: the `Interior` is the thing verified: whatever foam is missing from it was seen by verification; every
//! verdict and finding is returned, never the first only; a failing finding blocks release unless conceded by code,
//! place and margin. Knows nothing about stock, prices, paper or files.

mod arrange;
mod board;
mod brief;
mod cavity;
mod change;
mod cushion;
mod faces;
mod furnishing;
mod interior;
mod mix;
mod notch;
mod opening;
#[cfg(test)]
mod opening_tests;
mod outline;
mod pack;
mod release;
mod relief;
mod scanline;
mod select;
mod stack;
mod test_plan;
#[cfg(test)]
mod testing;
mod through;
mod verification;
mod verify;
mod vibration;
mod wishes;

pub use arrange::{
    ArrangeOptions, Arrangement, Breach, Broken, Lie, Live, SideRoom, SpaceSpot, Spot, arrange, arrange_from,
    lay_out, rearrange,
};
pub use brief::{Brief, Clearances, Handling, Scatter, Signer};
pub use caddis_protection::drop::FallMemory;
pub use change::Change;
pub use furnishing::{
    BackBoard, ChannelWish, Furnishing, HeldBy, LabelWish, LayerColour, LayerColours, TrayLift,
};
pub use interior::{
    Block, BlockKind, Cavity, CutTo, Interior, LayerPlan, Notch, Opening, OpeningKind, Place,
};
pub use pack::{Direction, Packed, PackedPatch, Support, pack};
pub use release::{Blocked, Concession, Release, release};
pub use select::{
    Candidate, Figures, Measure, Pricing, SelectOptions, Selection, Split, SplitCase, Standing, Unpriced,
    alternatives, select,
};
pub use test_plan::{plan_tests, predictions};
pub use verification::{
    AfterCreep, CaseVerdict, DirectionVerdict, DropSequence, FallVerdict, Falls, HeldFrom, ItemSequence,
    ItemVerdict, LandingCase, Shock, ShockTrace, Verification,
};
pub use verify::{
    Checks, FallChecks, ItemSpread, LegResponse, Onlooker, ResonanceResponse, ShockVerdict, Spread,
    SpreadChecks, VibrationVerdict, verify, verify_before,
};
pub use vibration::{ItemVibration, LegVibration, VibrationBrief};
pub use wishes::{
    Carried, GapWish, KeptSpace, PinWish, ScoreTerm, ScoreWeights, SpaceWish, WishVerdict, Wishes, score,
    wishes,
};
