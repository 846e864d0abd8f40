//! Contradictions that leave no shell to work with.

use super::profile::{Profile, Root};
use super::{HalfSide, Opening, OutlineShape, Shell, ShellHalf, TracedSection, traced};
use caddis_basis::{Angle, Length, Measured};

/// No case this program is for is larger than this on any side: a larger number is a unit mistaken.
const LARGEST: Length = Length::from_si(10.0);
/// A traced section encloses at least this, square metres.
const LEAST_TRACED: f64 = 1e-4;
/// An intrusion's own sides may lean this far.
const STEEPEST: f64 = 60.0;

/// Why a survey describes no shell. Each message names the field, what was found and what would do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShellError {
    /// NaN or infinite.
    #[error("`{field}` is not a finite number; write a size such as `620 mm`")]
    NotFinite {
        /// The field.
        field: String,
    },
    /// Zero or negative where a size is needed.
    #[error("`{field}` is {found}; it must be greater than zero, for example `{example}`")]
    NotPositive {
        /// The field.
        field: String,
        /// As printed.
        found: String,
        /// What would do.
        example: &'static str,
    },
    /// Negative where zero is the least.
    #[error("`{field}` is {found}; it must be zero or more")]
    Negative {
        /// The field.
        field: String,
        /// As printed.
        found: String,
    },
    /// Larger than any case.
    #[error("`{field}` is {found}, more than {most}; check its unit")]
    TooLarge {
        /// The field.
        field: String,
        /// As printed.
        found: String,
        /// The largest that is read.
        most: String,
    },
    /// The plus-minus leaves nothing.
    #[error("`{field}` is {found}; its ± must be smaller than the size itself and not negative")]
    Tolerance {
        /// The field.
        field: String,
        /// As printed.
        found: String,
    },
    /// A traced section that cannot be.
    #[error("`{field}` {problem}")]
    Traced {
        /// The field.
        field: String,
        /// What is wrong and what would do.
        problem: String,
    },
    /// The floor or crown is larger than the opening.
    #[error(
        "`{half}.floor.{along}` is {floor} but `{half}.rim.{along}` is {rim}; a moulded half narrows away from its rim, \
         so give the floor at most the size of the opening"
    )]
    FloorLarger {
        /// `base` or `lid`.
        half: &'static str,
        /// `length` or `width`.
        along: &'static str,
        /// As printed.
        floor: String,
        /// As printed.
        rim: String,
    },
    /// The floor or crown, as it is centred, reaches out under the wall.
    #[error(
        "`{half}.floor.centre` puts the floor {over} beyond the opening on its {wall} side; move the centre or give a \
         smaller floor"
    )]
    FloorBeyond {
        /// `base` or `lid`.
        half: &'static str,
        /// `-x`, `+x`, `-y` or `+y`.
        wall: &'static str,
        /// How far, as printed.
        over: String,
    },
    /// An intrusion that stands nowhere in the room.
    #[error(
        "`{field}` ({name}) lies wholly outside the walls of the {half}; its centre counts from the middle of the rim \
         opening, so check `centre` and the size of its outline"
    )]
    IntrusionOutside {
        /// The field.
        field: String,
        /// Its name.
        name: String,
        /// `base` or `lid`.
        half: &'static str,
    },
    /// An intrusion that ends where or before it starts.
    #[error(
        "`{field}.to` is {to} but `{field}.from` is {from}; an intrusion must end beyond where it starts"
    )]
    IntrusionReach {
        /// The field.
        field: String,
        /// As printed.
        from: String,
        /// As printed.
        to: String,
    },
    /// An intrusion that passes the rim plane.
    #[error(
        "`{field}.to` is {to} but `{half}.depth` is {depth}; an intrusion ends at the rim plane at the latest, what \
         stands beyond belongs to the other half"
    )]
    IntrusionPastRim {
        /// The field.
        field: String,
        /// `base` or `lid`.
        half: &'static str,
        /// As printed.
        to: String,
        /// As printed.
        depth: String,
    },
    /// An intrusion with an impossible draft.
    #[error("`{field}.draft` is {found}; give a draft from 0 to {STEEPEST} deg")]
    IntrusionDraft {
        /// The field.
        field: String,
        /// As printed.
        found: String,
    },
    /// The plan shrinks towards the rim, or a step lies outside its half.
    #[error(
        "`{field}` {problem}; a moulded half widens from floor or crown to rim without narrowing anywhere"
    )]
    Widening {
        /// The field.
        field: String,
        /// What is wrong with it.
        problem: String,
    },
    /// A fillet and a dome.
    #[error(
        "`{half}.fillet` is {found} beside a dome; the dome's own curve is the fillet, so write `fillet = \"0 mm\"`"
    )]
    FilletWithDome {
        /// `base` or `lid`.
        half: &'static str,
        /// As printed.
        found: String,
    },
    /// An outline that encloses nothing.
    #[error("`{field}.points` {problem}; give three or more corners in order, without crossing sides")]
    OutlineEncloses {
        /// The field.
        field: String,
        /// What is wrong with it.
        problem: String,
    },
    /// A fillet under something that hangs in the air.
    #[error(
        "`{field}.fillet` is {found} but `{field}.from` is {from}; a fillet at the foot needs `from = \"0 mm\"`"
    )]
    HangingFillet {
        /// The field.
        field: String,
        /// As printed.
        found: String,
        /// As printed.
        from: String,
    },
    /// The halves are swapped.
    #[error("`{field}` describes the other half; the base must be the base and the lid the lid")]
    Side {
        /// The field.
        field: &'static str,
    },
}

impl Shell {
    /// The shell, if its survey does not contradict itself, its traced sections in order of height and each inside the next.
    /// What is only unlikely is left to [`Shell::check`].
    ///
    /// # Errors
    /// The first contradiction found, in the order of the survey.
    pub fn validated(mut self) -> Result<Self, ShellError> {
        if self.base.side != HalfSide::Base {
            return Err(ShellError::Side { field: "base" });
        }
        if self.lid.side != HalfSide::Lid {
            return Err(ShellError::Side { field: "lid" });
        }
        check_half("base", &self.base)?;
        check_half("lid", &self.lid)?;
        for half in [&mut self.base, &mut self.lid] {
            half.traced = traced::sorted(half)?;
        }
        if let Some(total) = &self.total_depth {
            measured_size("total_depth", total)?;
        }
        if let Some(gasket) = &self.gasket {
            measured_size("gasket.width", &gasket.width)?;
            measured_size("gasket.height", &gasket.height)?;
            measured_not_negative("gasket.stands_in", &gasket.stands_in)?;
        }
        if let Some(hinge) = &self.hinge {
            finite("hinge.beyond", hinge.beyond.value)?;
            finite("hinge.above_rim", hinge.above_rim.value)?;
        }
        for (index, fitting) in self.fittings.iter().enumerate() {
            let field = format!("fittings[{index}]");
            for size in fitting.size.iter().flatten() {
                measured_size(&format!("{field}.size"), size)?;
            }
            for at in fitting.places.iter().flatten() {
                finite(&format!("{field}.places"), at.value)?;
            }
            if let Some(height) = &fitting.grip_height {
                measured_size(&format!("{field}.grip_height"), height)?;
            }
        }
        for (along, size) in ["length", "width", "height"].into_iter().zip(&self.outside) {
            measured_size(&format!("outside.{along}"), size)?;
        }
        if let Some(nominal) = &self.nominal_inside {
            for (along, &size) in ["length", "width", "height"].into_iter().zip(nominal) {
                positive(&format!("nominal_inside.{along}"), size)?;
            }
        }
        for (field, mass) in std::iter::once(("empty_mass", &self.empty_mass)).chain(
            self.stacking_rating
                .iter()
                .map(|rating| ("stacking_rating", rating)),
        ) {
            if !mass.value.is_finite() || mass.plus_minus.is_some_and(|band| !band.is_finite()) {
                return Err(ShellError::NotFinite {
                    field: field.to_owned(),
                });
            }
            if mass.value.si() <= 0.0 {
                return Err(ShellError::NotPositive {
                    field: field.to_owned(),
                    found: mass.value.to_string(),
                    example: "7.5 kg",
                });
            }
            if mass.least().si() <= 0.0 || mass.most() < mass.value {
                return Err(ShellError::Tolerance {
                    field: field.to_owned(),
                    found: mass.to_string(),
                });
            }
        }
        Ok(self)
    }
}

/// `base` or `lid`, as fields begin.
pub(super) fn half_name(side: HalfSide) -> &'static str {
    match side {
        HalfSide::Base => "base",
        HalfSide::Lid => "lid",
    }
}

fn check_half(name: &'static str, half: &ShellHalf) -> Result<(), ShellError> {
    for (part, opening) in [("rim", &half.rim), ("floor", &half.floor)] {
        check_opening(&format!("{name}.{part}"), opening)?;
    }
    measured_size(&format!("{name}.depth"), &half.depth)?;
    measured_not_negative(&format!("{name}.fillet"), &half.fillet)?;
    measured_not_negative(&format!("{name}.wall"), &half.wall)?;
    for (along, floor, rim) in [
        ("length", &half.floor.length, &half.rim.length),
        ("width", &half.floor.width, &half.rim.width),
    ] {
        if floor.value > rim.value {
            return Err(ShellError::FloorLarger {
                half: name,
                along,
                floor: floor.value.to_string(),
                rim: rim.value.to_string(),
            });
        }
    }
    let profile = Profile::nominal(half);
    let (rim, floor) = (profile.rim, profile.floor);
    let shift = floor.centre - rim.centre;
    let spare = rim.half - floor.half;
    for (wall, over) in [
        ("-x", -shift.x - spare.x),
        ("+x", shift.x - spare.x),
        ("-y", -shift.y - spare.y),
        ("+y", shift.y - spare.y),
    ] {
        if over > 1e-9 {
            return Err(ShellError::FloorBeyond {
                half: name,
                wall,
                over: Length::from_si(over).to_string(),
            });
        }
    }
    check_stations(name, half, &profile)?;
    for index in 0..half.intrusions.len() {
        check_intrusion(name, half, index, &profile)?;
    }
    for (index, section) in half.traced.iter().enumerate() {
        check_trace(name, half, index, section)?;
    }
    Ok(())
}

fn check_opening(field: &str, opening: &Opening) -> Result<(), ShellError> {
    measured_size(&format!("{field}.length"), &opening.length)?;
    measured_size(&format!("{field}.width"), &opening.width)?;
    measured_not_negative(&format!("{field}.corner_radius"), &opening.corner_radius)?;
    point(&format!("{field}.centre"), opening.centre)
}

/// A traced section by itself; how they lie to each other is [`super::traced::sorted`]'s.
fn check_trace(
    name: &'static str,
    half: &ShellHalf,
    index: usize,
    section: &TracedSection,
) -> Result<(), ShellError> {
    let field = format!("{name}.traced[{index}]");
    measured_size(&format!("{field}.at"), &section.at)?;
    let outside = |problem: String| {
        Err(ShellError::Traced {
            field: field.clone(),
            problem,
        })
    };
    if section.at.value >= half.depth.value {
        return outside(format!(
            "stands at {} of a depth of {}; give its height over floor or crown, below the rim plane",
            section.at.value, half.depth.value
        ));
    }
    if let Some(off) = section.plus_minus
        && !(off.is_finite() && off >= Length::ZERO && off.si() < 0.05)
    {
        return outside(format!(
            "has a ± of {off}; give how far its outline may be off, below 50 mm"
        ));
    }
    let Some(bounds) = section.room.bounds() else {
        return outside(
            "encloses nothing; give the free plan as the corners of its outline, in order".to_owned(),
        );
    };
    let far = [bounds.min, bounds.max]
        .iter()
        .any(|p| !p.is_finite() || p.x.abs().max(p.y.abs()) > LARGEST.si());
    if far || section.room.area() < LEAST_TRACED {
        return outside(format!(
            "encloses {:.1} cm²; give the free plan as the corners of its outline in order, about the middle of the opening",
            section.room.area() * 1e4
        ));
    }
    Ok(())
}

fn check_intrusion(
    name: &'static str,
    half: &ShellHalf,
    index: usize,
    profile: &Profile,
) -> Result<(), ShellError> {
    let intrusion = &half.intrusions[index];
    let field = format!("{name}.intrusions[{index}]");
    for (number, size) in intrusion.outline.numbers() {
        let field = format!("{field}.{}", number.replace(' ', "_"));
        if number.contains("radius") && !matches!(intrusion.outline, OutlineShape::Circle { .. }) {
            measured_not_negative(&field, size)?;
        } else if matches!(number.as_str(), "length" | "width" | "stands in" | "radius") {
            measured_size(&field, size)?;
        } else {
            finite(&field, size.value)?;
            measured_not_negative(&field, &positive_part(size))?;
        }
    }
    if let OutlineShape::Polygon { points, .. } = &intrusion.outline {
        let problem = if points.len() < 3 {
            Some(format!("has {} corners", points.len()))
        } else if crosses_itself(points) {
            Some("crosses itself".to_owned())
        } else if Root::nominal(&intrusion.outline, half).area() < 1e-9 {
            Some("encloses no area".to_owned())
        } else {
            None
        };
        if let Some(problem) = problem {
            return Err(ShellError::OutlineEncloses { field, problem });
        }
    }
    measured_not_negative(&format!("{field}.from"), &intrusion.from)?;
    measured_size(&format!("{field}.to"), &intrusion.to)?;
    if intrusion.to.value <= intrusion.from.value {
        return Err(ShellError::IntrusionReach {
            from: intrusion.from.value.to_string(),
            to: intrusion.to.value.to_string(),
            field,
        });
    }
    if intrusion.to.value.si() > half.depth.value.si() + 1e-9 {
        return Err(ShellError::IntrusionPastRim {
            half: name,
            to: intrusion.to.value.to_string(),
            depth: half.depth.value.to_string(),
            field,
        });
    }
    let draft = intrusion.draft.value;
    let band = intrusion.draft.plus_minus.unwrap_or(Angle::ZERO);
    if !draft.is_finite() || !band.is_finite() || draft < Angle::ZERO || draft.as_degrees() > STEEPEST {
        return Err(ShellError::IntrusionDraft {
            field,
            found: draft.to_string(),
        });
    }
    measured_not_negative(&format!("{field}.fillet"), &intrusion.fillet)?;
    if intrusion.fillet.value > Length::ZERO && intrusion.from.value > Length::ZERO {
        return Err(ShellError::HangingFillet {
            found: intrusion.fillet.value.to_string(),
            from: intrusion.from.value.to_string(),
            field,
        });
    }
    // Asked of every intrusion, of those taken off for this job too.
    let there = ShellHalf {
        intrusions: vec![super::Intrusion {
            removed: false,
            ..intrusion.clone()
        }],
        ..half.clone()
    };
    let bodies = Profile::nominal(&there).bodies;
    let meets = bodies.first().is_some_and(|body| {
        let (from, to) = body.reach();
        (0..=8).any(|k| {
            let h = from + (to - from) * f64::from(k) / 8.0;
            body.outline_at(h)
                .is_some_and(|outline| outline.meets(&Root::Rounded(profile.walls_at(h))))
        })
    });
    if meets {
        Ok(())
    } else {
        Err(ShellError::IntrusionOutside {
            field,
            name: intrusion.name.clone(),
            half: name,
        })
    }
}

/// A position or level with its sign taken off, so that its ± can be judged alike.
fn positive_part(size: &Measured<Length>) -> Measured<Length> {
    Measured {
        value: size.value.abs(),
        ..size.clone()
    }
}

fn crosses_itself(points: &[super::Position]) -> bool {
    let points: Vec<_> = points.iter().map(super::Position::point).collect();
    let count = points.len();
    let side =
        |a: usize, b: usize, p: usize| (points[b % count] - points[a]).cross(points[p % count] - points[a]);
    (0..count).any(|i| {
        (i + 2..count).filter(|&j| (j + 1) % count != i).any(|j| {
            side(i, i + 1, j) * side(i, i + 1, j + 1) < 0.0 && side(j, j + 1, i) * side(j, j + 1, i + 1) < 0.0
        })
    })
}

/// Steps and dome: in order, inside the half, and never narrower towards the rim.
fn check_stations(name: &'static str, half: &ShellHalf, profile: &Profile) -> Result<(), ShellError> {
    if let Some(dome) = &half.dome {
        measured_size(&format!("{name}.dome.rise"), &dome.rise)?;
        check_opening(&format!("{name}.dome.flat"), &dome.flat)?;
        if dome.rise.value >= half.depth.value {
            return Err(ShellError::Widening {
                field: format!("{name}.dome.rise"),
                problem: format!("is {} of a depth of {}", dome.rise.value, half.depth.value),
            });
        }
        if half.fillet.value > Length::ZERO {
            return Err(ShellError::FilletWithDome {
                half: name,
                found: half.fillet.value.to_string(),
            });
        }
    }
    let mut last = profile.spring;
    for (index, step) in half.steps.iter().enumerate() {
        let field = format!("{name}.steps[{index}]");
        measured_size(&format!("{field}.at"), &step.at)?;
        check_opening(&format!("{field}.below"), &step.below)?;
        check_opening(&format!("{field}.above"), &step.above)?;
        let at = step.at.value.si();
        if at <= last || at >= half.depth.value.si() {
            return Err(ShellError::Widening {
                field: format!("{field}.at"),
                problem: format!(
                    "is {}, not between {} and the depth of {}",
                    step.at.value,
                    Length::from_si(last),
                    half.depth.value
                ),
            });
        }
        last = at;
    }
    for pair in profile.stations.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        let shift = b.walls.centre - a.walls.centre;
        let spare = b.walls.half - a.walls.half;
        let over = (shift.x.abs() - spare.x).max(shift.y.abs() - spare.y);
        if over > 1e-9 {
            let place = if half.steps.is_empty() {
                "dome.flat"
            } else {
                "steps"
            };
            return Err(ShellError::Widening {
                field: format!("{name}.{place}"),
                problem: format!(
                    "narrows by {} towards the rim between {} and {} from the {}",
                    Length::from_si(over),
                    Length::from_si(a.height),
                    Length::from_si(b.height),
                    if half.side == HalfSide::Base {
                        "floor"
                    } else {
                        "crown"
                    }
                ),
            });
        }
    }
    Ok(())
}

fn point(field: &str, p: caddis_geometry::Vec2) -> Result<(), ShellError> {
    finite(field, Length::from_si(p.x))?;
    finite(field, Length::from_si(p.y))
}

fn finite(field: &str, size: Length) -> Result<(), ShellError> {
    if !size.is_finite() {
        return Err(ShellError::NotFinite {
            field: field.to_owned(),
        });
    }
    if size.abs() > LARGEST {
        return Err(ShellError::TooLarge {
            field: field.to_owned(),
            found: size.to_string(),
            most: LARGEST.to_string(),
        });
    }
    Ok(())
}

fn positive(field: &str, size: Length) -> Result<(), ShellError> {
    finite(field, size)?;
    if size <= Length::ZERO {
        return Err(ShellError::NotPositive {
            field: field.to_owned(),
            found: size.to_string(),
            example: "620 mm",
        });
    }
    Ok(())
}

fn not_negative(field: &str, size: Length) -> Result<(), ShellError> {
    finite(field, size)?;
    if size < Length::ZERO {
        return Err(ShellError::Negative {
            field: field.to_owned(),
            found: size.to_string(),
        });
    }
    Ok(())
}

fn band(field: &str, size: &Measured<Length>) -> Result<(), ShellError> {
    let Some(plus_minus) = size.plus_minus else {
        return Ok(());
    };
    finite(field, plus_minus)?;
    if plus_minus < Length::ZERO || (size.value > Length::ZERO && plus_minus >= size.value) {
        return Err(ShellError::Tolerance {
            field: field.to_owned(),
            found: size.to_string(),
        });
    }
    Ok(())
}

fn measured_size(field: &str, size: &Measured<Length>) -> Result<(), ShellError> {
    positive(field, size.value)?;
    band(field, size)
}

/// A radius: its ± may reach below zero, which is then held at zero.
fn measured_not_negative(field: &str, size: &Measured<Length>) -> Result<(), ShellError> {
    not_negative(field, size.value)?;
    let Some(plus_minus) = size.plus_minus else {
        return Ok(());
    };
    finite(field, plus_minus)?;
    if plus_minus < Length::ZERO {
        return Err(ShellError::Tolerance {
            field: field.to_owned(),
            found: size.to_string(),
        });
    }
    Ok(())
}
