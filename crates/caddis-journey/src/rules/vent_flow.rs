//! A valve that works may still be too slow.

use super::trapped_pressure::law;
use super::{Judged, Question, Rule};
use crate::{Valve, lid_force, slow_vent_pressure, vent_litres_per_minute};
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "vent-flow",
    sentence: || said!("the valve passes air as fast as the aircraft or the road climbs and sinks"),
    reason: || {
        said!(
            "a slow or clogged valve leaves pressure behind after a fast climb, and suction after a fast descent"
        )
    },
    source: |_| law(),
    applies: |question| question.on_lid.is_some() && question.parcel.valve == Valve::Working,
    judge,
};

/// What a lid that closes by hand may be held with before it springs or sticks, N (common practice, no source).
const HAND_FORCE: f64 = 100.0;

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(on_lid) = &question.on_lid else {
        return Vec::new(); // the rule does not concern such a leg
    };
    let rate = question
        .leg
        .altitude_rate
        .unwrap_or(question.limits.altitude_rate.value);
    let volume = question.parcel.sealed_volume;
    // The least pressure outside asks for the most air by volume, so the altitude itself is the worst place.
    let Ok(litres) = vent_litres_per_minute(volume, on_lid.altitude, rate) else {
        return Vec::new(); // the altitude has standard air: it was asked before
    };
    let found = said!(
        "at {rate:.1} m/s near {altitude:.0} m the valve must pass {litres:.1} L/min",
        rate = rate.si(),
        altitude = on_lid.altitude.length().si(),
        litres
    );
    let found = if question.leg.altitude_rate.is_some() {
        found
    } else {
        let source = question.limits.altitude_rate.dated_source().said();
        said!("{found} (rate assumed: {source})", found, source)
    };
    let Some(vent) = question.journey.case.vent_flow else {
        return vec![Judged {
            sentence: said!("{found}; what it passes is not stated", found),
            ..Judged::missing(said!("what the valve passes (vent_flow)"), law())
        }];
    };
    let Ok(left) = slow_vent_pressure(volume, on_lid.altitude, rate, vent) else {
        return Vec::new(); // as above
    };
    let force = lid_force(left, question.parcel.lid_area);
    let sentence = said!(
        "{found}; as stated it leaves up to {pressure:.2} kPa behind, {force:.0} N on the lid",
        pressure = left.as_kpa(),
        force = force.si(),
        found
    );
    vec![if force.si() <= HAND_FORCE {
        Judged::new(Verdict::Indicative, sentence, law())
    } else {
        Judged::new(Verdict::Fails, sentence, law()).finding(
            Severity::Caution,
            said!("wait before unlatching, vent by hand and stand clear of the lid; fit a larger valve"),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_journey, parcel};
    use super::*;
    use crate::{Journey, Leg, LegKind, VentFlow};
    use caddis_basis::Pressure;

    fn with(litres: f64) -> Judged {
        let mut journey = Journey::new("out", vec![Leg::new(LegKind::AirHold, "flight")]);
        journey.case.vent_flow = Some(VentFlow::litres_per_minute(litres, Pressure::from_si(1000.0)));
        ask_journey(&RULE, &parcel(), &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let slow = with(0.5);
        assert_eq!(
            (slow.verdict, slow.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let unknown = ask(&RULE, &parcel(), LegKind::AirHold);
        assert_eq!((unknown.verdict, unknown.severity), (Verdict::NotKnown, None));
        assert!(unknown.missing.is_some() && unknown.sentence.contains("L/min"));
    }

    #[test]
    fn passing_case() {
        let quick = with(20.0);
        assert_eq!((quick.verdict, quick.severity), (Verdict::Indicative, None));
    }
}
