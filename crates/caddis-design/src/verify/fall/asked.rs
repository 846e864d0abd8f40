//! What foam an interior's falls ask for, tried on the simulation before any foam is moved.
//!
//! An item that turns as it sinks, or meets a neighbour that was stopped before it, crushes foam that holds every flat fall.
//! How much more foam would hold is not guessed: the falls in which items bottom are simulated again with the crushed foam
//! thicker, a little at a time, until they hold. Moving a piece adds as much foam to every patch of a side, so that is how foam
//! grows here. Where nothing helps the verification says so.

use super::{chosen, landings, severity};
use crate::verify::FallChecks;
use crate::verify::packing::{SHARED_LAWS, gravity, packing};
use crate::{Brief, Direction, Interior, Packed};
use caddis_basis::Length;
use caddis_geometry::Vec3;
use caddis_protection::LawError;
use caddis_protection::drop::{
    Contact, Fall, ItemFall, Landing, Packing, Precision, Strained, fall_directions, simulate_all,
    strains_all,
};
use caddis_survey::Fragility;
use std::collections::BTreeMap;

/// Foam that the falls ask for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AskedFoam {
    /// Index into the interior's places.
    pub piece: usize,
    /// In the order of [`Direction::ALL`].
    pub side: usize,
    /// Between it and a neighbour, not the shell.
    pub to_neighbour: bool,
    /// From the body to what stops it, at least, metres.
    pub distance: f64,
    /// More than there is, metres.
    pub more: f64,
}

/// What the falls of an interior show.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct FallsAsk {
    /// Items that bottom, strike or pass their limit in some fall.
    pub failing: usize,
    /// Only the first look was taken: it showed enough.
    pub only_glanced: bool,
    /// What would hold them, by piece and side.
    pub foam: Vec<AskedFoam>,
}

/// Vertices of the coarser nets that the first ones of the 642 directions make.
const COARSE: usize = 162;
const GLANCE: usize = 42;
/// So many items that fail at the first look send a layout back at once.
const MANY: usize = 2;
/// Falls are rehearsed from so much higher: what holds then still holds when every direction is followed finely.
const HIGHER: f64 = 1.04;
/// A strain so near the greatest counts as crushed, share of it.
const CRUSHED: f64 = 0.97;
/// Falls an item is mended in: its worst ones.
const WORST: usize = 4;
/// Directions of the fine net within this of an item's worst are looked at too, cosine of 9 degrees.
const NEAR: f64 = 0.987_7;
/// Items whose foam stays below this share of the greatest strain are looked at no closer, nor are directions about which nothing
/// passes this share of what foam or items stand: in layouts of the demonstration none of those held back passed 0.96.
const EASY: f64 = 0.8;
/// Directions within this of one are about it, cosine of 18 degrees.
const ABOUT: f64 = 0.951;
/// Tries of thickening, and the least and most foam added in one, metres.
const TRIES: usize = 6;
const ADDED: (f64, f64) = (1e-3, 8e-3);
/// Foam added to one side in all, metres.
const MOST_ADDED: f64 = 0.04;
/// How the thickness follows the strain: between keeping the stroke (1) and keeping the work of a patch (about 2 here).
const FOLLOWS: f64 = 1.5;

/// Which foam: of one body's side, towards the shell or towards one other body.
type Key = (usize, usize, Option<usize>);

/// Simulates the falls of an interior and what would hold them.
///
/// # Errors
/// A motion that cannot be followed.
pub(crate) fn asked(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    threads: usize,
) -> Result<FallsAsk, LawError> {
    let checks = FallChecks {
        threads,
        ..FallChecks::default()
    };
    let packing = packing(interior, brief, packed, checks.cell)?;
    // A tray's board, the last body, is judged of nothing.
    let board = std::iter::repeat_n(None, packing.bodies() - interior.places.len());
    let limits: Vec<Option<f64>> = interior
        .places
        .iter()
        .map(|place| match &brief.items[place.item].fragility {
            Fragility::None => None,
            Fragility::Unknown => Some(f64::INFINITY),
            Fragility::Known(limit) => Some(limit.least().as_g()),
        })
        .chain(board)
        .collect();
    let mut bench = Bench {
        packing: &packing,
        pieces: interior.places.len(),
        limits: &limits,
        threads,
        falls: Vec::new(),
        found: Vec::new(),
    };
    let only_glanced = bench.rehearse(interior, brief, &checks)?;
    let found = bench.asks(interior, brief)?;
    Ok(FallsAsk {
        only_glanced,
        ..found
    })
}

struct Bench<'a> {
    packing: &'a Packing,
    /// Pieces; a body beyond them is a tray's board.
    pieces: usize,
    /// What each item stands, G; `None` for what no fall is judged of.
    limits: &'a [Option<f64>],
    threads: usize,
    falls: Vec<Fall>,
    found: Vec<Vec<ItemFall>>,
}

impl Bench<'_> {
    fn run(&mut self, falls: Vec<Fall>) -> Result<(), LawError> {
        self.found.extend(simulate_all(
            self.packing,
            &falls,
            &Precision::ROUGH,
            self.threads,
        )?);
        self.falls.extend(falls);
        Ok(())
    }

    /// The falls of the verification, coarsely: faces, edges and corners in a coarse net, a finer one and the finest about each
    /// item's worst, then the harsher landings. Whether the first of these showed enough, and the others were left out.
    fn rehearse(
        &mut self,
        interior: &Interior,
        brief: &Brief,
        checks: &FallChecks,
    ) -> Result<bool, LawError> {
        let fall = |direction, landing| Fall {
            direction,
            height: Length::from_si(brief.handling.drop_height.most().si() * HIGHER),
            gravity: gravity(brief),
            friction: 0.0,
            landing,
        };
        let net = fall_directions();
        let principal = super::principal();
        let dead = |d: &Vec3| fall(*d, Landing::StopsDead);
        self.run(net[..GLANCE].iter().chain(&principal).map(dead).collect())?;
        let failing = (0..self.limits.len()).filter(|item| !self.failures(*item).is_empty());
        if failing.count() >= MANY {
            return Ok(true);
        }
        self.run(net[GLANCE..COARSE].iter().map(dead).collect())?;
        let greatest = super::greatest_strain(brief);
        let mut near: Vec<usize> = Vec::new();
        for item in (0..self.limits.len()).filter(|item| self.limits[*item].is_some()) {
            for by_peak in [false, true] {
                let worst = self.worst(item, by_peak);
                let of = &self.found[worst][item];
                if severity(of) < 1e9 && of.strain < EASY * greatest {
                    continue;
                }
                let direction = self.falls[worst].direction;
                near.extend((COARSE..net.len()).filter(|&k| net[k].dot(direction) > NEAR));
            }
        }
        near.sort_unstable();
        near.dedup();
        self.run(near.iter().map(|&k| dead(&net[k])).collect())?;
        let directions: Vec<Vec3> = self.falls.iter().map(|fall| fall.direction).collect();
        let chosen = chosen(&directions, &self.found, self.limits.len());
        let harsher = landings(interior, brief, checks, &chosen, fall);
        self.run(harsher.into_iter().map(|(_, fall, _)| fall).collect())?;
        // What nothing shows yet is not settled before every direction was asked, save where all is easy round about.
        if (0..self.limits.len()).all(|item| self.failures(item).is_empty()) {
            let rest = (COARSE..net.len()).filter(|k| near.binary_search(k).is_err());
            let shares: Vec<f64> = (0..self.found.len())
                .map(|fall| self.share(fall, greatest))
                .collect();
            let rest = rest.filter(|&k| {
                let about = self.falls.iter().zip(&shares);
                let mut about = about.filter(|(fall, _)| fall.direction.dot(net[k]) > ABOUT);
                about.any(|(_, share)| *share > EASY)
            });
            self.run(rest.map(|k| dead(&net[k])).collect())?;
        }
        Ok(false)
    }

    /// How much of what foam or an item stands is used in a fall, by the item that uses most.
    fn share(&self, fall: usize, greatest: f64) -> f64 {
        let items = self.found[fall].iter().zip(self.limits);
        items
            .filter_map(|(item, limit)| limit.map(|limit| (item.strain / greatest).max(item.peak / limit)))
            .fold(0.0, f64::max)
    }

    /// An item's worst fall: by its peak, or by the strain of its foam.
    fn worst(&self, item: usize, by_peak: bool) -> usize {
        let of = |fall: usize| {
            let found = &self.found[fall][item];
            if by_peak { severity(found) } else { found.strain }
        };
        (0..self.found.len()).fold(0, |best, fall| if of(fall) > of(best) { fall } else { best })
    }

    /// The falls in which an item fails.
    fn failures(&self, item: usize) -> Vec<usize> {
        (0..self.found.len())
            .filter(|&fall| self.fails(item, &self.found[fall][item]))
            .collect()
    }

    fn fails(&self, item: usize, fall: &ItemFall) -> bool {
        self.limits[item].is_some_and(|limit| fall.bottomed || fall.strikes || fall.peak > limit)
    }

    fn any_fails(&self, items: &[ItemFall]) -> bool {
        items
            .iter()
            .enumerate()
            .any(|(item, fall)| self.fails(item, fall))
    }

    /// What would hold the items that fail.
    fn asks(&self, interior: &Interior, brief: &Brief) -> Result<FallsAsk, LawError> {
        let mut failing = 0;
        let mut chosen: Vec<usize> = Vec::new();
        for item in 0..self.limits.len() {
            let mut worst = self.failures(item);
            worst.sort_by(|&a, &b| {
                let of = |fall: usize| self.found[fall][item].strain;
                of(b).total_cmp(&of(a)).then(a.cmp(&b))
            });
            failing += usize::from(!worst.is_empty());
            chosen.extend(worst.into_iter().take(WORST));
        }
        if failing == 0 {
            return Ok(FallsAsk::default());
        }
        chosen.sort_unstable();
        chosen.dedup();
        let mut falls: Vec<Fall> = chosen.into_iter().map(|fall| self.falls[fall]).collect();
        let mut more: BTreeMap<Key, f64> = BTreeMap::new();
        for _ in 0..TRIES {
            let thicker = self.packing.with_contacts(thickened(self.packing, &more))?;
            let tried = strains_all(&thicker, &falls, &Precision::ROUGH, self.threads)?;
            let added = self.crushed(interior, brief, &thicker, &tried);
            // What holds by now is not followed again.
            let mut holds = tried.iter().map(|fall| !self.any_fails(&fall.items));
            falls.retain(|_| !holds.next().unwrap_or(false));
            if added.is_empty() || falls.is_empty() {
                break;
            }
            for (key, by) in added {
                let sum = more.entry(key).or_insert(0.0);
                *sum = (*sum + by).min(MOST_ADDED);
            }
        }
        Ok(FallsAsk {
            failing,
            only_glanced: false,
            foam: self.foam(interior, &more),
        })
    }

    /// Foam that is crushed under items that fail, and how much thicker it should be, metres.
    fn crushed(
        &self,
        interior: &Interior,
        brief: &Brief,
        packing: &Packing,
        tried: &[Strained],
    ) -> BTreeMap<Key, f64> {
        let greatest = super::greatest_strain(brief) * CRUSHED;
        let mut added: BTreeMap<Key, f64> = BTreeMap::new();
        for Strained { items, strains } in tried {
            for item in (0..items.len()).filter(|&item| self.fails(item, &items[item])) {
                let own: Vec<(usize, &Contact)> = packing
                    .contacts()
                    .iter()
                    .enumerate()
                    .filter(|(_, c)| {
                        (c.body == item || c.against == Some(item)) && c.patch.law != SHARED_LAWS
                    })
                    .collect();
                let most = own.iter().map(|(i, _)| strains[*i]).fold(0.0, f64::max);
                // Where nothing is crushed but the peak is too high, what is pressed most gives way more gently if thicker.
                let ok = greatest.min(most * 0.95);
                for (i, contact) in own {
                    if strains[i] > ok && ok > 0.0 {
                        let by = contact.patch.thickness * ((strains[i] / ok).powf(FOLLOWS) - 1.0);
                        let most = added.entry(key(contact)).or_insert(0.0);
                        *most = most.max(by.clamp(ADDED.0, ADDED.1));
                    }
                }
            }
        }
        // The lid pad is as thick as the lid is deep, the foam under a tray's board, or under what lies in the lid, as its stack makes it.
        let is_piece = |body: usize| body < self.pieces;
        added.retain(|(body, side, against), _| {
            let fixed = usize::from(!interior.places.get(*body).is_some_and(|place| place.in_lid));
            is_piece(*body) && (*side != fixed || against.is_some_and(is_piece))
        });
        added
    }

    fn foam(&self, interior: &Interior, more: &BTreeMap<Key, f64>) -> Vec<AskedFoam> {
        let mut least: BTreeMap<Key, f64> = BTreeMap::new();
        for contact in self.packing.contacts() {
            let distance = contact.patch.thickness + contact.patch.gap;
            let known = least.entry(key(contact)).or_insert(f64::INFINITY);
            *known = known.min(distance);
        }
        more.iter()
            .filter(|(_, more)| **more > 0.0)
            .map(|(key, &more)| {
                // What hangs in the tier above asks for the foam below it. Between the lid and what lies under it the cover is as thick
                // as it is: what lies under it asks to lie elsewhere.
                let in_lid = |piece: usize| interior.places[piece].in_lid;
                let (piece, side) = match *key {
                    (body, 0, Some(other)) if in_lid(body) => (other, 1),
                    (body, 1, Some(other))
                        if !in_lid(other) && interior.places[other].tier > interior.places[body].tier =>
                    {
                        (other, 0)
                    }
                    (body, side, _) => (body, side),
                };
                AskedFoam {
                    piece,
                    side,
                    to_neighbour: key.2.is_some(),
                    distance: least.get(key).copied().unwrap_or(0.0) + more,
                    more,
                }
            })
            .collect()
    }
}

fn side_of(direction: Vec3) -> usize {
    let along = Direction::ALL.map(|side| side.vector().dot(direction));
    (0..along.len()).fold(
        0,
        |best, side| if along[side] > along[best] { side } else { best },
    )
}

fn key(contact: &Contact) -> Key {
    (contact.body, side_of(contact.patch.direction), contact.against)
}

fn thickened(packing: &Packing, more: &BTreeMap<Key, f64>) -> Vec<Contact> {
    packing
        .contacts()
        .iter()
        .map(|contact| {
            let mut contact = *contact;
            if contact.patch.law != SHARED_LAWS {
                contact.patch.thickness += more.get(&key(&contact)).copied().unwrap_or(0.0);
            }
            contact
        })
        .collect()
}
