//! From the shell to the written form: the survey file back, so that reading it gives the same shell.

use super::form::{
    BoxForm, CalloutForm, CircleForm, CornerForm, DomeForm, DraftForm, DraftsForm, FittingForm, GasketForm,
    GroupForm, HalfForm, HingeForm, InCornerForm, IntrusionForm, KindForm, OnWallForm, OpeningForm,
    PhotoForm, PlainBoxForm, PolygonForm, RecordForm, RectangleForm, ShellForm, StateForm, StepForm,
    TracedForm, WallForm,
};
use crate::document::SCHEMA;
use crate::written::{Written, WrittenMeasure, certainty_word};
use caddis_basis::{BenchUnit, Length, Measured, Parse, Source, tape_fraction};
use caddis_geometry::{Vec2, Vertex};
use caddis_survey::{
    Corner, Fitting, FittingGroup, FittingState, Intrusion, IntrusionKind, Opening, OutlineShape, Position,
    Shell, ShellHalf, TracedSection, Wall,
};

/// The shell as a survey file. Reading it gives the same shell, to the last bit, with its bench unit; a source that is the
/// file's own is left out.
///
/// # Errors
/// Never for a shell that validates; what the TOML writer says otherwise.
pub fn write_shell(shell: &Shell) -> Result<String, String> {
    let write = Writer {
        bench: shell.record.bench_unit,
        source: &shell.source,
    };
    let [length, width, height] = &shell.outside;
    let form = ShellForm {
        schema: SCHEMA,
        title: shell.title.clone(),
        units: shell.record.bench_unit.map(|unit| unit.as_str().to_owned()),
        source: source_text(&shell.source),
        empty_mass: write.measure(&shell.empty_mass),
        stacking_rating: shell.stacking_rating.as_ref().map(|m| write.measure(m)),
        total_depth: shell.total_depth.as_ref().map(|m| write.measure(m)),
        outside: BoxForm {
            length: write.measure(length),
            width: write.measure(width),
            height: write.measure(height),
        },
        nominal_inside: shell.nominal_inside.map(|[length, width, height]| PlainBoxForm {
            length: write.plain(&length),
            width: write.plain(&width),
            height: write.plain(&height),
        }),
        base: write.half(&shell.base),
        lid: write.half(&shell.lid),
        gasket: shell.gasket.as_ref().map(|gasket| GasketForm {
            width: write.measure(&gasket.width),
            height: write.measure(&gasket.height),
            stands_in: write.unless_nought(&gasket.stands_in),
        }),
        hinge: shell.hinge.as_ref().map(|hinge| HingeForm {
            wall: wall(hinge.wall),
            beyond: write.measure(&hinge.beyond),
            above_rim: write.measure(&hinge.above_rim),
            opens_to: hinge.opens_to.as_ref().map(|angle| write.measure(angle)),
        }),
        fittings: shell.fittings.iter().map(|f| write.fitting(f)).collect(),
        photos: shell
            .photos
            .iter()
            .map(|photo| PhotoForm {
                file: photo.file.clone(),
                shows: photo.shows.clone(),
            })
            .collect(),
        record: RecordForm {
            sample: shell.record.sample.clone(),
            mould_revision: shell.record.mould_revision.clone(),
            measured_by: shell.record.measured_by.clone(),
            measured_on: shell.record.measured_on.clone(),
        },
    };
    toml::to_string(&form).map_err(|error| error.to_string())
}

fn source_text(source: &Source) -> String {
    format!("{} ({})", source.citation, certainty_word(source.certainty))
}

struct Writer<'a> {
    bench: Option<BenchUnit>,
    source: &'a Source,
}

impl Writer<'_> {
    fn measure<Q: Parse + Copy>(&self, measured: &Measured<Q>) -> WrittenMeasure {
        let value = self.text(&measured.value);
        let source = measured
            .source
            .as_ref()
            .filter(|source| *source != self.source)
            .map(source_text);
        match (&measured.plus_minus, source) {
            (None, None) => WrittenMeasure {
                value: Written::Text(value),
                plus_minus: None,
                source: None,
            },
            (Some(band), None) => WrittenMeasure {
                value: Written::Text(format!("{value} ± {}", self.text(band))),
                plus_minus: None,
                source: None,
            },
            (band, source) => WrittenMeasure {
                value: Written::Text(value),
                plus_minus: band.as_ref().map(|band| Written::Text(self.text(band))),
                source,
            },
        }
    }

    /// Nothing for a zero that nobody measured.
    fn unless_nought<Q: Parse + Copy>(&self, measured: &Measured<Q>) -> Option<WrittenMeasure> {
        (measured.value.si() != 0.0 || measured.plus_minus.is_some() || measured.source.is_some())
            .then(|| self.measure(measured))
    }

    fn plain<Q: Parse>(&self, value: &Q) -> Written {
        Written::Text(self.text(value))
    }

    /// The shortest text that reads back as the same number: in the bench's unit, as a tape reads it, else decimal; else in
    /// the quantity's first unit that can say it.
    fn text<Q: Parse>(&self, value: &Q) -> String {
        let si = value.si();
        let reads_back = |text: &str| {
            Q::parse_in(text, self.bench).is_ok_and(|back| back.si().to_bits() == (si + 0.0).to_bits())
        };
        if Q::IS_LENGTH
            && let Some(bench) = self.bench
        {
            let bare = si / bench.metres();
            if bench == BenchUnit::Inch
                && let Some(text) = tape_fraction(bare)
                && reads_back(&text)
            {
                return text;
            }
            if let Some(text) = decimal(bare, "", &reads_back) {
                return text;
            }
        }
        Q::UNITS
            .iter()
            .filter(|(_, _, offset)| *offset == 0.0)
            .find_map(|(unit, factor, _)| decimal(si / factor, &format!(" {unit}"), &reads_back))
            // Every quantity has a unit of factor one, in which the number itself reads back.
            .unwrap_or_else(|| {
                let unit = Q::UNITS
                    .iter()
                    .find(|(_, factor, offset)| *factor == 1.0 && *offset == 0.0)
                    .map_or("", |(unit, _, _)| unit);
                format!("{si} {unit}")
            })
    }

    fn half(&self, half: &ShellHalf) -> HalfForm {
        HalfForm {
            depth: self.measure(&half.depth),
            fillet: self.measure(&half.fillet),
            wall: self.measure(&half.wall),
            draft: half.stated_drafts.as_ref().map(|[left, right, front, back]| {
                DraftForm::Each(DraftsForm {
                    left: self.measure(left),
                    right: self.measure(right),
                    front: self.measure(front),
                    back: self.measure(back),
                })
            }),
            rim: self.opening(&half.rim),
            floor: Some(self.opening(&half.floor)),
            dome: half.dome.as_ref().map(|dome| DomeForm {
                rise: self.measure(&dome.rise),
                flat: self.opening(&dome.flat),
            }),
            steps: half
                .steps
                .iter()
                .map(|step| StepForm {
                    at: self.measure(&step.at),
                    below: self.opening(&step.below),
                    above: (step.above != step.below).then(|| self.opening(&step.above)),
                })
                .collect(),
            intrusions: half.intrusions.iter().map(|i| self.intrusion(i)).collect(),
            traced: half.traced.iter().map(|section| self.traced(section)).collect(),
        }
    }

    fn traced(&self, section: &TracedSection) -> TracedForm {
        let place = |vertex: &Vertex| [vertex.at.x, vertex.at.y].map(|v| self.plain(&Length::from_si(v)));
        TracedForm {
            at: self.measure(&section.at),
            plus_minus: section.plus_minus.map(|off| self.plain(&off)),
            outlines: section
                .room
                .contours()
                .map(|contour| contour.vertices.iter().map(place).collect())
                .collect(),
        }
    }

    fn opening(&self, opening: &Opening) -> OpeningForm {
        OpeningForm {
            length: self.measure(&opening.length),
            width: self.measure(&opening.width),
            corner_radius: self.measure(&opening.corner_radius),
            centre: (opening.centre != Vec2::ZERO)
                .then(|| [opening.centre.x, opening.centre.y].map(|v| self.plain(&Length::from_si(v)))),
        }
    }

    fn position(&self, position: &Position) -> [WrittenMeasure; 2] {
        [self.measure(&position.x), self.measure(&position.y)]
    }

    fn intrusion(&self, intrusion: &Intrusion) -> IntrusionForm {
        let mut form = IntrusionForm {
            name: intrusion.name.clone(),
            kind: match intrusion.kind {
                IntrusionKind::WheelHousing => KindForm::WheelHousing,
                IntrusionKind::PullHandleHousing => KindForm::PullHandleHousing,
                IntrusionKind::Rib => KindForm::Rib,
                IntrusionKind::Boss => KindForm::Boss,
                IntrusionKind::HingePocket => KindForm::HingePocket,
                IntrusionKind::LatchPocket => KindForm::LatchPocket,
                IntrusionKind::Other => KindForm::Other,
            },
            rectangle: None,
            circle: None,
            polygon: None,
            on_wall: None,
            in_corner: None,
            from: self.unless_nought(&intrusion.from),
            to: self.measure(&intrusion.to),
            draft: self.unless_nought(&intrusion.draft),
            fillet: self.unless_nought(&intrusion.fillet),
            removable: intrusion.removable,
            removed: intrusion.removed,
        };
        match &intrusion.outline {
            OutlineShape::Rectangle {
                centre,
                length,
                width,
                corner_radius,
            } => {
                form.rectangle = Some(RectangleForm {
                    centre: self.position(centre),
                    length: self.measure(length),
                    width: self.measure(width),
                    corner_radius: self.unless_nought(corner_radius),
                });
            }
            OutlineShape::Circle { centre, radius } => {
                form.circle = Some(CircleForm {
                    centre: self.position(centre),
                    radius: self.measure(radius),
                });
            }
            OutlineShape::Polygon {
                points,
                corner_radius,
            } => {
                form.polygon = Some(PolygonForm {
                    points: points.iter().map(|p| self.position(p)).collect(),
                    corner_radius: self.unless_nought(corner_radius),
                });
            }
            OutlineShape::OnWall {
                wall: on,
                along,
                width,
                stands_in,
                corner_radius,
            } => {
                form.on_wall = Some(OnWallForm {
                    wall: wall(*on),
                    along: self.measure(along),
                    width: self.measure(width),
                    stands_in: self.measure(stands_in),
                    corner_radius: self.unless_nought(corner_radius),
                });
            }
            OutlineShape::InCorner {
                corner,
                length,
                width,
                corner_radius,
            } => {
                form.in_corner = Some(InCornerForm {
                    corner: match corner {
                        Corner::LeftFront => CornerForm::LeftFront,
                        Corner::LeftBack => CornerForm::LeftBack,
                        Corner::RightFront => CornerForm::RightFront,
                        Corner::RightBack => CornerForm::RightBack,
                    },
                    length: self.measure(length),
                    width: self.measure(width),
                    corner_radius: self.unless_nought(corner_radius),
                });
            }
        }
        form
    }

    fn fitting(&self, fitting: &Fitting) -> FittingForm {
        FittingForm {
            name: fitting.name.clone(),
            group: match fitting.group {
                FittingGroup::Closing => GroupForm::Closing,
                FittingGroup::Moving => GroupForm::Moving,
                FittingGroup::Sealing => GroupForm::Sealing,
                FittingGroup::Stacking => GroupForm::Stacking,
                FittingGroup::Marking => GroupForm::Marking,
            },
            count: fitting.count,
            state: match fitting.state {
                FittingState::Good => StateForm::Good,
                FittingState::Worn => StateForm::Worn,
                FittingState::Damaged => StateForm::Damaged,
                FittingState::Missing => StateForm::Missing,
                FittingState::NotChecked => StateForm::NotChecked,
            },
            wear_part: fitting.is_wear_part,
            field_replaceable: fitting.is_field_replaceable,
            places: fitting
                .places
                .iter()
                .map(|place| place.each_ref().map(|at| self.measure(at)))
                .collect(),
            size: fitting
                .size
                .as_ref()
                .map(|size| size.each_ref().map(|side| self.measure(side))),
            grip_height: fitting.grip_height.as_ref().map(|height| self.measure(height)),
            callouts: fitting
                .callouts
                .iter()
                .map(|callout| CalloutForm {
                    photo: callout.photo.clone(),
                    number: callout.number,
                    at: callout.at,
                })
                .collect(),
            note: fitting.note.clone(),
        }
    }
}

fn wall(wall: Wall) -> WallForm {
    match wall {
        Wall::Left => WallForm::Left,
        Wall::Right => WallForm::Right,
        Wall::Front => WallForm::Front,
        Wall::Back => WallForm::Back,
    }
}

/// The fewest decimals that read back.
fn decimal(value: f64, unit: &str, reads_back: &impl Fn(&str) -> bool) -> Option<String> {
    (0..=15).find_map(|decimals| {
        let number = format!("{value:.decimals$}");
        let number = if number
            .trim_start_matches('-')
            .chars()
            .all(|c| c == '0' || c == '.')
        {
            "0".to_owned()
        } else {
            number
        };
        let text = format!("{number}{unit}");
        reads_back(&text).then_some(text)
    })
}
