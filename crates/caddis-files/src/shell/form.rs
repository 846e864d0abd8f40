//! The written form of a shell. The order of the fields is the order in the file.

use crate::written::{Written, WrittenMeasure};
use serde::{Deserialize, Serialize};

macro_rules! form {
    ($(#[$doc:meta])* $name:ident { $($(#[$attribute:meta])* $field:ident: $type:ty,)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name { $($(#[$attribute])* pub(super) $field: $type,)+ }
    };
}

form!(ShellForm {
    schema: u32,
    title: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    units: Option<String>,
    source: String,
    empty_mass: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stacking_rating: Option<WrittenMeasure>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    total_depth: Option<WrittenMeasure>,
    outside: BoxForm,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    nominal_inside: Option<PlainBoxForm>,
    base: HalfForm,
    lid: HalfForm,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    gasket: Option<GasketForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hinge: Option<HingeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    fittings: Vec<FittingForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    photos: Vec<PhotoForm>,
    #[serde(default)]
    record: RecordForm,
});

form!(HalfForm {
    depth: WrittenMeasure,
    fillet: WrittenMeasure,
    wall: WrittenMeasure,
    /// Beside the floor a statement to compare; instead of it what the floor follows from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    draft: Option<DraftForm>,
    rim: OpeningForm,
    #[serde(default, alias = "crown", skip_serializing_if = "Option::is_none")]
    floor: Option<OpeningForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dome: Option<DomeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    steps: Vec<StepForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    intrusions: Vec<IntrusionForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    traced: Vec<TracedForm>,
});

form!(TracedForm {
    at: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    plus_minus: Option<Written>,
    /// The free plan, and what stands free in it: closed lines, one inside another by turns room and matter.
    outlines: Vec<Vec<[Written; 2]>>,
});

/// One draft for all four walls, or one a wall.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[expect(clippy::large_enum_variant, reason = "read once, never kept in numbers")]
#[serde(
    untagged,
    expecting = "a draft such as \"1.8 deg\", or a table with left, right, front and back"
)]
pub(super) enum DraftForm {
    All(WrittenMeasure),
    Each(DraftsForm),
}

form!(DraftsForm {
    left: WrittenMeasure,
    right: WrittenMeasure,
    front: WrittenMeasure,
    back: WrittenMeasure,
});

form!(OpeningForm {
    length: WrittenMeasure,
    width: WrittenMeasure,
    corner_radius: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    centre: Option<[Written; 2]>,
});

form!(DomeForm {
    rise: WrittenMeasure,
    flat: OpeningForm,
});

form!(StepForm {
    at: WrittenMeasure,
    below: OpeningForm,
    /// The same as `below` where it is left out: only the draft changes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    above: Option<OpeningForm>,
});

form!(BoxForm {
    length: WrittenMeasure,
    width: WrittenMeasure,
    height: WrittenMeasure,
});

form!(PlainBoxForm {
    length: Written,
    width: Written,
    height: Written,
});

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum KindForm {
    WheelHousing,
    PullHandleHousing,
    Rib,
    Boss,
    HingePocket,
    LatchPocket,
    Other,
}

form!(IntrusionForm {
    name: String,
    kind: KindForm,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rectangle: Option<RectangleForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    circle: Option<CircleForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    polygon: Option<PolygonForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    on_wall: Option<OnWallForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    in_corner: Option<InCornerForm>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    from: Option<WrittenMeasure>,
    to: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    draft: Option<WrittenMeasure>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fillet: Option<WrittenMeasure>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    removable: bool,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    removed: bool,
});

form!(RectangleForm {
    centre: [WrittenMeasure; 2],
    length: WrittenMeasure,
    width: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    corner_radius: Option<WrittenMeasure>,
});

form!(CircleForm {
    centre: [WrittenMeasure; 2],
    radius: WrittenMeasure,
});

form!(PolygonForm {
    points: Vec<[WrittenMeasure; 2]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    corner_radius: Option<WrittenMeasure>,
});

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum WallForm {
    Left,
    Right,
    Front,
    Back,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum CornerForm {
    LeftFront,
    LeftBack,
    RightFront,
    RightBack,
}

form!(OnWallForm {
    wall: WallForm,
    along: WrittenMeasure,
    width: WrittenMeasure,
    stands_in: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    corner_radius: Option<WrittenMeasure>,
});

form!(InCornerForm {
    corner: CornerForm,
    length: WrittenMeasure,
    width: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    corner_radius: Option<WrittenMeasure>,
});

form!(GasketForm {
    width: WrittenMeasure,
    height: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stands_in: Option<WrittenMeasure>,
});

form!(HingeForm {
    wall: WallForm,
    beyond: WrittenMeasure,
    above_rim: WrittenMeasure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    opens_to: Option<WrittenMeasure>,
});

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum GroupForm {
    Closing,
    Moving,
    Sealing,
    Stacking,
    Marking,
}

#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum StateForm {
    Good,
    Worn,
    Damaged,
    Missing,
    #[default]
    NotChecked,
}

fn one() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
fn is_not_checked(state: &StateForm) -> bool {
    *state == StateForm::NotChecked
}

form!(FittingForm {
    name: String,
    group: GroupForm,
    #[serde(default = "one")]
    count: u32,
    #[serde(default, skip_serializing_if = "is_not_checked")]
    state: StateForm,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wear_part: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    field_replaceable: Option<bool>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    places: Vec<[WrittenMeasure; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    size: Option<[WrittenMeasure; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    grip_height: Option<WrittenMeasure>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    callouts: Vec<CalloutForm>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
});

form!(CalloutForm {
    photo: String,
    number: u32,
    /// Where the number goes, as shares of the photo from its left and from its top.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<[f64; 2]>,
});

form!(PhotoForm {
    file: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    shows: String,
});

form!(
    #[derive(Default)]
    RecordForm {
        #[serde(default, skip_serializing_if = "String::is_empty")]
        sample: String,
        #[serde(default, skip_serializing_if = "String::is_empty")]
        mould_revision: String,
        #[serde(default, skip_serializing_if = "String::is_empty")]
        measured_by: String,
        #[serde(default, skip_serializing_if = "String::is_empty")]
        measured_on: String,
    }
);
