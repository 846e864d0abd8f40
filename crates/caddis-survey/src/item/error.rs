//! Entries that are no item.

use super::{ClearRoom, Fragility, Item, ItemShape, Primitive};
use caddis_basis::Length;
use caddis_geometry::{Bounds3, MeshError, Vec3};

/// Nothing on a packing list is larger than this: a larger number is a unit mistaken.
const LARGEST: Length = Length::from_si(10.0);

/// Room thinner than this is none, metres.
const THINNEST_ROOM: f64 = 1e-4;
/// Room this near to the item's box touches it, metres.
const TOUCHES: f64 = 5e-4;

/// Why an entry describes no item. Each message names the item, the field, what was found and what would do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ItemError {
    /// NaN or infinite.
    #[error("`{item}`: `{field}` is not a finite number; write it with its unit, for example `{example}`")]
    NotFinite {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
        /// What would do.
        example: &'static str,
    },
    /// Zero or negative where that has no meaning.
    #[error("`{item}`: `{field}` is {found}; it must be greater than zero, for example `{example}`")]
    NotPositive {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
        /// As printed.
        found: String,
        /// What would do.
        example: &'static str,
    },
    /// Negative where zero is the least.
    #[error("`{item}`: `{field}` is {found}; it must be zero or more")]
    Negative {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
        /// As printed.
        found: String,
    },
    /// Larger than anything that is packed.
    #[error("`{item}`: `{field}` is {found}, more than {most}; check its unit")]
    TooLarge {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
        /// As printed.
        found: String,
        /// The largest that is read.
        most: String,
    },
    /// Quantity zero.
    #[error("`{item}`: `quantity` is 0; give at least 1, or leave the item out")]
    NoQuantity {
        /// The item's id.
        item: String,
    },
    /// No way to lie.
    #[error("`{item}`: `ways_up` is empty; name at least one of +z, -z, +x, -x, +y, -y")]
    NoWaysUp {
        /// The item's id.
        item: String,
    },
    /// A compound of nothing.
    #[error("`{item}`: `shape` is a compound without parts; give at least one")]
    NoParts {
        /// The item's id.
        item: String,
    },
    /// The mesh cannot be one.
    #[error("`{item}`: {file} is no mesh: {error}; export it again as triangles")]
    Mesh {
        /// The item's id.
        item: String,
        /// The file.
        file: String,
        /// Why.
        error: MeshError,
    },
    /// Room kept clear that is none.
    #[error(
        "`{item}`: `{field}` is no room: its `from` must lie below its `to` along {along}, by at least 0.1 mm"
    )]
    NoRoom {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
        /// `x`, `y` or `z`.
        along: &'static str,
    },
    /// Room kept clear away from the item.
    #[error(
        "`{item}`: `{field}` does not touch the item; room that foam keeps out of starts at its surface, in its own frame"
    )]
    RoomApart {
        /// The item's id.
        item: String,
        /// The field.
        field: String,
    },
    /// The mesh has no extent in some direction.
    #[error(
        "`{item}`: {file} is flat along {along}; an item needs room in every direction, so export the whole solid"
    )]
    Flat {
        /// The item's id.
        item: String,
        /// The file.
        file: String,
        /// `x`, `y` or `z`.
        along: &'static str,
    },
}

impl Item {
    /// The item, if its entry can be one. What is only unlikely is left to [`Item::check`].
    ///
    /// # Errors
    /// The first contradiction found.
    pub fn validated(self) -> Result<Self, ItemError> {
        let item = self.id.as_str().to_owned();
        if self.quantity == 0 {
            return Err(ItemError::NoQuantity { item });
        }
        if self.ways_up.is_empty() {
            return Err(ItemError::NoWaysUp { item });
        }
        self.check_shape()?;
        self.not_negative("size_tolerance", self.size_tolerance.si(), "0.5 mm", || {
            self.size_tolerance.to_string()
        })?;
        self.positive("mass", self.mass.value.si(), "1.2 kg", || {
            self.mass.value.to_string()
        })?;
        if let Some(band) = self.mass.plus_minus {
            self.not_negative("mass ±", band.si(), "0.1 kg", || band.to_string())?;
            self.positive("mass", self.mass.least().si(), "1.2 kg ± 0.1 kg", || {
                self.mass.to_string()
            })?;
        }
        if let Some(centre) = self.centre_of_mass
            && !centre.is_finite()
        {
            return Err(ItemError::NotFinite {
                item,
                field: "centre_of_mass".to_owned(),
                example: "[0 mm, 0 mm, 40 mm]",
            });
        }
        if let Fragility::Known(limit) = &self.fragility {
            self.positive("fragility", limit.value.si(), "30 G", || limit.value.to_string())?;
        }
        if let Some(softness) = &self.softness {
            self.positive("softness.volume", softness.volume.si(), "2.5 L", || {
                softness.volume.to_string()
            })?;
            if let Some(radius) = softness.least_bend_radius {
                self.size("softness.least_bend_radius", radius)?;
            }
        }
        for (k, room) in self.keep_clear.iter().enumerate() {
            self.check_room(&format!("keep_clear[{k}]"), room)?;
        }
        Ok(self)
    }

    fn check_room(&self, field: &str, room: &ClearRoom) -> Result<(), ItemError> {
        self.check_point(&format!("{field}.from"), room.from)?;
        self.check_point(&format!("{field}.to"), room.to)?;
        let size = room.to - room.from;
        for (along, extent) in [("x", size.x), ("y", size.y), ("z", size.z)] {
            if extent < THINNEST_ROOM {
                return Err(ItemError::NoRoom {
                    item: self.id.as_str().to_owned(),
                    field: field.to_owned(),
                    along,
                });
            }
        }
        let own = Bounds3 {
            min: room.from,
            max: room.to,
        };
        // To what a tape reads.
        if !self
            .bounds()
            .is_some_and(|bounds| bounds.grown(TOUCHES).meets(&own))
        {
            return Err(ItemError::RoomApart {
                item: self.id.as_str().to_owned(),
                field: field.to_owned(),
            });
        }
        Ok(())
    }

    fn check_shape(&self) -> Result<(), ItemError> {
        match &self.shape {
            ItemShape::Primitive(solid) => self.check_primitive("shape", solid),
            ItemShape::Compound(parts) => {
                if parts.is_empty() {
                    return Err(ItemError::NoParts {
                        item: self.id.as_str().to_owned(),
                    });
                }
                for (k, part) in parts.iter().enumerate() {
                    let field = format!("shape.parts[{k}]");
                    self.check_primitive(&field, &part.solid)?;
                    self.check_point(&format!("{field}.at"), part.at)?;
                }
                Ok(())
            }
            ItemShape::Mesh { mesh, file, .. } => {
                let item = || self.id.as_str().to_owned();
                let mesh = mesh.clone().validated().map_err(|error| ItemError::Mesh {
                    item: item(),
                    file: file.clone(),
                    error,
                })?;
                let size = mesh.bounds().map_or(Vec3::ZERO, |b| b.size());
                for (along, extent) in [("x", size.x), ("y", size.y), ("z", size.z)] {
                    if extent < 1e-6 {
                        return Err(ItemError::Flat {
                            item: item(),
                            file: file.clone(),
                            along,
                        });
                    }
                    self.size(&format!("shape ({file}) along {along}"), Length::from_si(extent))?;
                }
                Ok(())
            }
        }
    }

    fn check_primitive(&self, field: &str, solid: &Primitive) -> Result<(), ItemError> {
        match solid {
            Primitive::Cuboid {
                length,
                width,
                height,
            } => {
                self.size(&format!("{field}.length"), *length)?;
                self.size(&format!("{field}.width"), *width)?;
                self.size(&format!("{field}.height"), *height)
            }
            Primitive::Cylinder { diameter, height } => {
                self.size(&format!("{field}.diameter"), *diameter)?;
                self.size(&format!("{field}.height"), *height)
            }
        }
    }

    fn check_point(&self, field: &str, p: Vec3) -> Result<(), ItemError> {
        for along in [p.x, p.y, p.z] {
            if !along.is_finite() {
                return Err(ItemError::NotFinite {
                    item: self.id.as_str().to_owned(),
                    field: field.to_owned(),
                    example: "40 mm",
                });
            }
            if along.abs() > LARGEST.si() {
                return Err(self.too_large(field, Length::from_si(along)));
            }
        }
        Ok(())
    }

    fn too_large(&self, field: &str, size: Length) -> ItemError {
        ItemError::TooLarge {
            item: self.id.as_str().to_owned(),
            field: field.to_owned(),
            found: size.to_string(),
            most: LARGEST.to_string(),
        }
    }

    fn size(&self, field: &str, size: Length) -> Result<(), ItemError> {
        self.positive(field, size.si(), "120 mm", || size.to_string())?;
        if size > LARGEST {
            return Err(self.too_large(field, size));
        }
        Ok(())
    }

    fn positive(
        &self,
        field: &str,
        value: f64,
        example: &'static str,
        found: impl Fn() -> String,
    ) -> Result<(), ItemError> {
        self.not_negative(field, value, example, &found)?;
        if value == 0.0 {
            return Err(ItemError::NotPositive {
                item: self.id.as_str().to_owned(),
                field: field.to_owned(),
                found: found(),
                example,
            });
        }
        Ok(())
    }

    fn not_negative(
        &self,
        field: &str,
        value: f64,
        example: &'static str,
        found: impl Fn() -> String,
    ) -> Result<(), ItemError> {
        if !value.is_finite() {
            return Err(ItemError::NotFinite {
                item: self.id.as_str().to_owned(),
                field: field.to_owned(),
                example,
            });
        }
        if value < 0.0 {
            return Err(ItemError::Negative {
                item: self.id.as_str().to_owned(),
                field: field.to_owned(),
                found: found(),
            });
        }
        Ok(())
    }
}
