//! Every number of a survey with its ± and its source, as papers print it.

use super::check::along_axes;
use super::{Opening, Shell, ShellHalf, Wall};
use caddis_basis::{BenchUnit, Length, Measured, Said, said};
use std::fmt::Display;

/// One measured number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// "outside", "base", "lid", the name of an intrusion, …
    pub of: Said,
    /// What was measured.
    pub what: Said,
    /// The value, lengths in the bench's unit.
    pub value: String,
    /// Half of its worst-case band; `None` when nobody said.
    pub plus_minus: Option<String>,
    /// Who or what says so.
    pub source: String,
}

struct Readings<'a> {
    shell: &'a Shell,
    unit: BenchUnit,
    list: Vec<Reading>,
}

impl Shell {
    /// Every number of the survey, in the order of its file: value as the bench's tape reads it, ±, source (the shell's own
    /// where the number names none).
    pub fn readings(&self) -> Vec<Reading> {
        let mut readings = Readings {
            shell: self,
            unit: self.record.bench_unit.unwrap_or(BenchUnit::Millimetre),
            list: Vec::new(),
        };
        let outside = said!("outside, closed");
        for (what, side) in along_axes().into_iter().zip(&self.outside) {
            readings.length(&outside, what, side);
        }
        readings.other(&outside, said!("empty mass"), &self.empty_mass);
        if let Some(rating) = &self.stacking_rating {
            readings.other(&outside, said!("stacking load, maker's rating"), rating);
        }
        if let Some(total) = &self.total_depth {
            readings.length(&said!("inside, closed"), said!("height, floor to crown"), total);
        }
        readings.half(&self.base);
        readings.half(&self.lid);
        if let Some(gasket) = &self.gasket {
            let of = said!("gasket");
            readings.length(&of, said!("width"), &gasket.width);
            readings.length(&of, said!("height over the rim plane"), &gasket.height);
            readings.length(&of, said!("stands into the opening"), &gasket.stands_in);
        }
        if let Some(hinge) = &self.hinge {
            let of = said!("hinge");
            readings.length(&of, said!("axis beyond the opening"), &hinge.beyond);
            readings.length(&of, said!("axis above the rim plane"), &hinge.above_rim);
            if let Some(angle) = &hinge.opens_to {
                readings.other(&of, said!("opens to"), angle);
            }
        }
        for fitting in &self.fittings {
            if let Some(height) = &fitting.grip_height {
                readings.length(&Said::name(&fitting.name), said!("grip over the ground"), height);
            }
        }
        readings.list
    }
}

impl Readings<'_> {
    fn push<Q>(&mut self, of: &Said, what: Said, size: &Measured<Q>, print: impl Fn(&Q) -> String) {
        self.list.push(Reading {
            of: of.clone(),
            what,
            value: print(&size.value),
            plus_minus: size.plus_minus.as_ref().map(print),
            source: size.source.as_ref().unwrap_or(&self.shell.source).to_string(),
        });
    }

    fn length(&mut self, of: &Said, what: Said, size: &Measured<Length>) {
        let unit = self.unit;
        self.push(of, what, size, |length| unit.print(*length));
    }

    fn other<Q: Display>(&mut self, of: &Said, what: Said, size: &Measured<Q>) {
        self.push(of, what, size, ToString::to_string);
    }

    fn opening(&mut self, of: &Said, at: &Said, opening: &Opening) {
        self.length(of, said!("{opening} length", opening = at), &opening.length);
        self.length(of, said!("{opening} width", opening = at), &opening.width);
        self.length(
            of,
            said!("{opening} corner radius", opening = at),
            &opening.corner_radius,
        );
    }

    fn half(&mut self, half: &ShellHalf) {
        let of = &half.side.said();
        let end = &half.side.end_said();
        self.length(of, said!("depth, rim plane to {end}", end), &half.depth);
        self.opening(of, &said!("opening"), &half.rim);
        self.opening(of, end, &half.floor);
        self.length(of, said!("{end} fillet", end), &half.fillet);
        self.length(of, said!("wall"), &half.wall);
        if let Some(drafts) = &half.stated_drafts {
            for (wall, draft) in Wall::ALL.into_iter().zip(drafts) {
                self.other(of, said!("draft {wall}", wall = wall.said()), draft);
            }
        }
        for (index, step) in half.steps.iter().enumerate() {
            let name = said!("{half} step {number}", half = of, number = index + 1);
            self.length(&name, said!("from the {end}", end), &step.at);
            self.opening(&name, &said!("just short of it"), &step.below);
            self.opening(&name, &said!("just past it"), &step.above);
        }
        if let Some(dome) = &half.dome {
            let name = said!("{half} dome", half = of);
            self.length(&name, said!("rise"), &dome.rise);
            self.opening(&name, &said!("flat"), &dome.flat);
        }
        for intrusion in &half.intrusions {
            let name = said!("{half}: {intrusion}", half = of, intrusion = intrusion.name);
            for (what, size) in intrusion.outline.numbers() {
                self.length(&name, what, size);
            }
            if intrusion.from.value.si() != 0.0 {
                self.length(&name, said!("starts from the {end}", end), &intrusion.from);
            }
            self.length(&name, said!("reaches from the {end}", end), &intrusion.to);
            self.other(&name, said!("draft"), &intrusion.draft);
            if intrusion.fillet.value.si() != 0.0 {
                self.length(&name, said!("fillet"), &intrusion.fillet);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{mm, shell};
    use super::*;
    use caddis_basis::{Certainty, Source};

    #[test]
    fn every_number_has_its_band_and_source_in_the_unit_of_the_bench() {
        let mut shell = shell();
        shell.record.bench_unit = Some(BenchUnit::Inch);
        shell.base.rim.length = Measured {
            value: Length::inches(24.5),
            plus_minus: Some(Length::inches(0.0625)),
            source: Some(Source::new("steel tape", Certainty::Measured)),
        };
        let readings = shell.readings();
        let opening = readings
            .iter()
            .find(|r| r.of == "base" && r.what == "opening length");
        assert_eq!(
            opening.map(|r| (r.value.as_str(), r.plus_minus.as_deref(), r.source.as_str())),
            Some(("24 1/2 in", Some("1/16 in"), "steel tape (measured)"))
        );
        let rib = readings.iter().filter(|r| r.of == "base: rib").count();
        assert_eq!(rib, 7, "an outline of five numbers, its reach and its draft");
        let depth = readings
            .iter()
            .find(|r| r.of == "lid" && r.what.starts_with("depth"));
        assert_eq!(
            depth.map(|r| r.source.as_str()),
            Some("demonstration (invented for the demonstration)")
        );
        shell.total_depth = Some(mm(315.0));
        assert_eq!(shell.readings().len(), readings.len() + 1);
    }
}
