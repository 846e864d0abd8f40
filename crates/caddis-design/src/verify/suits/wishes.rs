//! What an item asks of its foam by value: heat in a vehicle, colour, firmness.

use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, said};
use caddis_protection::Foam;
use caddis_survey::Item;

/// Each wish against the foam: fulfilled, ruled out, or nobody says.
pub(super) fn findings(foam: &Foam, item: &Item) -> Vec<Finding> {
    [heat(foam, item), colour(foam, item), firmness(foam, item)]
        .into_iter()
        .flatten()
        .collect()
}

/// What is asked for.
#[derive(Debug, Clone, Copy)]
enum Wish {
    Heat,
    Colour,
    Firmness,
}

impl Wish {
    /// The place of a finding on it.
    fn place(self, foam: &Foam, item: &Item) -> Said {
        let (foam, item) = (&foam.name, &item.id);
        match self {
            Self::Heat => said!("{foam} heat {item}", foam, item),
            Self::Colour => said!("{foam} colour {item}", foam, item),
            Self::Firmness => said!("{foam} firmness {item}", foam, item),
        }
    }
}

fn ruled_out(foam: &Foam, item: &Item, wish: Wish, sentence: Said, source: &Source) -> Finding {
    Finding::new(
        "foam-ruled-out",
        Domain::Protection,
        Severity::Failing,
        wish.place(foam, item),
        sentence,
        source.clone(),
    )
    .remedy(match wish {
        Wish::Heat => said!(
            "choose a foam that works there, or keep the case out of it: foam softens and creeps in the heat"
        ),
        Wish::Colour => said!("choose a foam that is sold in it, or ask the customer again"),
        Wish::Firmness => said!("choose a firmer or softer foam, or ask the customer again"),
    })
}

fn not_known(foam: &Foam, item: &Item, wish: Wish, sentence: Said, key: &str) -> Finding {
    Finding::new(
        "foam-property-not-known",
        Domain::Protection,
        Severity::Caution,
        wish.place(foam, item),
        sentence,
        foam.source.clone(),
    )
    .remedy(said!(
        "ask the supplier and enter the answer as the foam's `{key}`",
        key
    ))
}

fn heat(foam: &Foam, item: &Item) -> Option<Finding> {
    let hottest = item.foam.hottest.as_ref()?;
    let Some((_, high)) = foam.temperatures else {
        return Some(not_known(
            foam,
            item,
            Wish::Heat,
            said!(
                "with {item} the case gets as hot as {heat}, and nobody states where {foam} works",
                item = item.name,
                heat = hottest.value,
                foam = foam.title
            ),
            "temperatures",
        ));
    };
    let over = hottest.value.si() - high.si();
    (over > 0.0).then(|| {
        ruled_out(
            foam,
            item,
            Wish::Heat,
            said!(
                "with {item} the case gets as hot as {heat}, and {foam} works up to {high}",
                item = item.name,
                heat = hottest.value,
                foam = foam.title,
                high
            ),
            hottest.source.as_ref().unwrap_or(&foam.source),
        )
        .margin(Margin::at_most(over, 0.0, "K beyond"))
    })
}

fn colour(foam: &Foam, item: &Item) -> Option<Finding> {
    let wanted = item.foam.colour.as_ref()?;
    let Some(stated) = &foam.colours else {
        return Some(not_known(
            foam,
            item,
            Wish::Colour,
            said!(
                "{item} must lie in {colour} foam, and nobody states the colours {foam} is sold in",
                item = item.name,
                colour = wanted,
                foam = foam.title
            ),
            "colours",
        ));
    };
    let sold = stated
        .names
        .iter()
        .any(|name| name.to_lowercase() == wanted.to_lowercase());
    (!sold).then(|| {
        ruled_out(
            foam,
            item,
            Wish::Colour,
            said!(
                "{item} must lie in {colour} foam, and {foam} is sold in {colours}",
                item = item.name,
                colour = wanted,
                foam = foam.title,
                colours = stated.names.join(", ")
            ),
            &stated.source,
        )
        .margin(Margin::at_least(0.0, 1.0, ""))
    })
}

/// # Source
/// Firmness is the compression stress at 40 % of ISO 3386-1. The impact law is not asked for it: it speaks of other rates.
fn firmness(foam: &Foam, item: &Item) -> Option<Finding> {
    let (least, most) = item.foam.firmness?;
    let Some(stated) = &foam.firmness else {
        return Some(not_known(
            foam,
            item,
            Wish::Firmness,
            said!(
                "{item} asks for foam of {least} to {most} at 40 % compression, and nobody states what {foam} takes",
                item = item.name,
                least,
                most,
                foam = foam.title
            ),
            "firmness",
        ));
    };
    let found = stated.value;
    let margin = if found < least {
        Margin::at_least(found.si(), least.si(), "Pa")
    } else if found > most {
        Margin::at_most(found.si(), most.si(), "Pa")
    } else {
        return None;
    };
    Some(
        ruled_out(
            foam,
            item,
            Wish::Firmness,
            said!(
                "{item} asks for foam of {least} to {most} at 40 % compression, and {foam} takes {found}",
                item = item.name,
                least,
                most,
                foam = foam.title,
                found
            ),
            stated.source.as_ref().unwrap_or(&foam.source),
        )
        .margin(margin),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_basis::{Certainty, Measured, Pressure, Temperature};
    use caddis_protection::StatedColours;
    use caddis_survey::FoamWish;

    fn source() -> Source {
        Source::new("test", Certainty::Invented)
    }

    fn codes(foam: &Foam, wish: FoamWish) -> Vec<&'static str> {
        let mut item = testing::brief().items[0].clone();
        item.foam = wish;
        findings(foam, &item).iter().map(|f| f.code).collect()
    }

    fn hot(celsius: f64) -> FoamWish {
        FoamWish {
            hottest: Some(Measured {
                value: Temperature::celsius(celsius),
                plus_minus: None,
                source: Some(source()),
            }),
            ..FoamWish::default()
        }
    }

    fn of_colour(name: &str) -> FoamWish {
        FoamWish {
            colour: Some(name.to_owned()),
            ..FoamWish::default()
        }
    }

    fn firm(least: f64, most: f64) -> FoamWish {
        FoamWish {
            firmness: Some((Pressure::kpa(least), Pressure::kpa(most))),
            ..FoamWish::default()
        }
    }

    #[test]
    fn a_silent_foam_never_passes() {
        let mut foam = testing::brief().foams[0].clone();
        (foam.temperatures, foam.colours, foam.firmness) = (None, None, None);
        for wish in [hot(71.0), of_colour("black"), firm(10.0, 40.0)] {
            assert_eq!(codes(&foam, wish), ["foam-property-not-known"]);
        }
        assert!(codes(&foam, FoamWish::default()).is_empty());
    }

    #[test]
    fn a_foam_that_says_so_is_fine_or_ruled_out() {
        let mut foam = testing::brief().foams[0].clone();
        foam.temperatures = Some((Temperature::celsius(-40.0), Temperature::celsius(70.0)));
        foam.colours = Some(StatedColours {
            names: vec!["Black".to_owned(), "grey".to_owned()],
            source: source(),
        });
        foam.firmness = Some(Measured {
            value: Pressure::kpa(30.0),
            plus_minus: None,
            source: Some(source()),
        });
        for wish in [hot(70.0), of_colour("black"), firm(10.0, 40.0), firm(30.0, 30.0)] {
            assert!(codes(&foam, wish).is_empty());
        }
        for wish in [hot(75.0), of_colour("red"), firm(31.0, 40.0), firm(10.0, 29.0)] {
            assert_eq!(codes(&foam, wish), ["foam-ruled-out"]);
        }
    }
}
