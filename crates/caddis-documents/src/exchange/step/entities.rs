//! Numbered entities, and those that say what a product is, where it stands and how it looks.

use caddis_geometry::Vec3;
use std::collections::BTreeMap;
use std::fmt::Write;

/// The data section being written. An entity's name (`#17`) is what other entities refer to.
#[derive(Debug, Default)]
pub(super) struct Entities {
    out: String,
    count: usize,
    styles: BTreeMap<[u8; 3], String>,
    /// Points, directions and frames by their words: each is written once and shared.
    shared: BTreeMap<String, String>,
}

/// A product's entities that others refer to.
#[derive(Debug, Clone)]
pub(super) struct Product {
    definition: String,
    pub(super) shape: String,
}

impl Entities {
    /// Writes an entity; gives back its name.
    pub(super) fn add(&mut self, words: impl AsRef<str>) -> String {
        self.count += 1;
        // Writing to a string cannot fail.
        let _ = writeln!(self.out, "#{}={};", self.count, words.as_ref());
        format!("#{}", self.count)
    }

    /// Writes an entity that others may share, once.
    pub(super) fn share(&mut self, words: String) -> String {
        if let Some(name) = self.shared.get(&words) {
            return name.clone();
        }
        let name = self.add(&words);
        self.shared.insert(words, name.clone());
        name
    }

    pub(super) fn into_text(self) -> String {
        self.out
    }

    /// A point, given in metres.
    pub(super) fn point(&mut self, p: Vec3) -> String {
        self.share(format!(
            "CARTESIAN_POINT('',({},{},{}))",
            millimetres(p.x),
            millimetres(p.y),
            millimetres(p.z)
        ))
    }

    pub(super) fn direction(&mut self, d: Vec3) -> String {
        self.share(format!(
            "DIRECTION('',({},{},{}))",
            real(d.x),
            real(d.y),
            real(d.z)
        ))
    }

    /// A frame: its origin, its z, its x.
    pub(super) fn frame(&mut self, at: Vec3, z: Vec3, x: Vec3) -> String {
        let (at, z, x) = (self.point(at), self.direction(z), self.direction(x));
        self.share(format!("AXIS2_PLACEMENT_3D('',{at},{z},{x})"))
    }

    /// A frame of its own at the origin: the whole and each part stand in theirs.
    pub(super) fn origin(&mut self) -> String {
        let (at, z, x) = (
            self.point(Vec3::ZERO),
            self.direction(Vec3::new(0.0, 0.0, 1.0)),
            self.direction(Vec3::new(1.0, 0.0, 0.0)),
        );
        self.add(format!("AXIS2_PLACEMENT_3D('',{at},{z},{x})"))
    }

    pub(super) fn product(&mut self, name: &str, (products, designs): (&str, &str)) -> Product {
        let name = text(name);
        let product = self.add(format!("PRODUCT('{name}','{name}','',({products}))"));
        self.add(format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({product}))"));
        let formation = self.add(format!("PRODUCT_DEFINITION_FORMATION('','',{product})"));
        let definition = self.add(format!("PRODUCT_DEFINITION('design','',{formation},{designs})"));
        let shape = self.add(format!("PRODUCT_DEFINITION_SHAPE('','',{definition})"));
        Product { definition, shape }
    }

    /// Puts a part into the whole where it stands: both share one frame.
    pub(super) fn placed(
        &mut self,
        number: usize,
        (whole, part): (&Product, &Product),
        (whole_shape, part_shape): (&str, &str),
        (origin, frame): (&str, &str),
    ) {
        let (whole, part) = (&whole.definition, &part.definition);
        let occurrence = self.add(format!(
            "NEXT_ASSEMBLY_USAGE_OCCURRENCE('{number}','','',{whole},{part},$)"
        ));
        let shape = self.add(format!("PRODUCT_DEFINITION_SHAPE('','',{occurrence})"));
        let motion = self.add(format!("ITEM_DEFINED_TRANSFORMATION('','',{origin},{frame})"));
        let relation = self.add(format!(
            "(REPRESENTATION_RELATIONSHIP('','',{part_shape},{whole_shape})\
             REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({motion})SHAPE_REPRESENTATION_RELATIONSHIP())"
        ));
        self.add(format!(
            "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({relation},{shape})"
        ));
    }

    /// The solids in a colour.
    pub(super) fn styled(&mut self, solids: &[String], colour: [u8; 3]) -> Vec<String> {
        let style = if let Some(style) = self.styles.get(&colour) {
            style.clone()
        } else {
            let [r, g, b] = colour.map(|v| real((f64::from(v) / 255.0 * 1e4).round() / 1e4));
            let colour_name = self.add(format!("COLOUR_RGB('',{r},{g},{b})"));
            let fill = self.add(format!("FILL_AREA_STYLE_COLOUR('',{colour_name})"));
            let area = self.add(format!("FILL_AREA_STYLE('',({fill}))"));
            let surface = self.add(format!("SURFACE_STYLE_FILL_AREA({area})"));
            let side = self.add(format!("SURFACE_SIDE_STYLE('',({surface}))"));
            let usage = self.add(format!("SURFACE_STYLE_USAGE(.BOTH.,{side})"));
            let style = self.add(format!("PRESENTATION_STYLE_ASSIGNMENT(({usage}))"));
            self.styles.insert(colour, style.clone());
            style
        };
        solids
            .iter()
            .map(|solid| self.add(format!("STYLED_ITEM('',({style}),{solid})")))
            .collect()
    }
}

/// A length in millimetres, to a millionth of a micrometre: the noise of sums in metres is left out.
pub(super) fn millimetres(metres: f64) -> String {
    real((metres * 1e12).round() / 1e9)
}

/// A real number as the standard asks, with its point.
pub(super) fn real(value: f64) -> String {
    let value = if value == 0.0 { 0.0 } else { value };
    let mut text = format!("{value}");
    if !text.contains('.') {
        text.push('.');
    }
    text
}

/// Words as the standard asks: quotes doubled, what is not ASCII by its code point.
pub(super) fn text(words: &str) -> String {
    let mut out = String::new();
    for c in words.chars() {
        match c {
            '\'' => out.push_str("''"),
            '\\' => out.push_str("\\\\"),
            ' '..='~' => out.push(c),
            // Writing to a string cannot fail.
            c if u32::from(c) < 0x1_0000 => {
                let _ = write!(out, "\\X2\\{:04X}\\X0\\", u32::from(c));
            }
            c => {
                let _ = write!(out, "\\X4\\{:08X}\\X0\\", u32::from(c));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_words_are_written_as_the_standard_asks() {
        assert_eq!(real(5.0), "5.");
        assert_eq!(real(-0.0), "0.");
        assert_eq!(real(1e-7), "0.0000001");
        assert_eq!(millimetres(0.1 + 0.2), "300.");
        assert_eq!(
            text("d'été \\ 𝄞"),
            "d''\\X2\\00E9\\X0\\t\\X2\\00E9\\X0\\ \\\\ \\X4\\0001D11E\\X0\\"
        );
    }
}
