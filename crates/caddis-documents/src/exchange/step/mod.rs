//! STEP, written as clear text: an assembly of one product a body.

mod entities;
mod shape;

use super::bodies::{Body, Form};
use entities::Entities;

/// The file.
pub(super) fn write(title: &str, date: &str, version: &str, bodies: &[Body]) -> String {
    let mut file = Entities::default();
    let context = file.add("APPLICATION_CONTEXT('core data for automotive mechanical design processes')");
    file.add(format!(
        "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,{context})"
    ));
    let products = file.add(format!("PRODUCT_CONTEXT('',{context},'mechanical')"));
    let designs = file.add(format!(
        "PRODUCT_DEFINITION_CONTEXT('part definition',{context},'design')"
    ));
    let millimetres = file.add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))");
    let radians = file.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))");
    let steradians = file.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())");
    let accuracy = file.add(format!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-06),{millimetres},'distance_accuracy_value','confusion accuracy')"
    ));
    let space = file.add(format!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({accuracy}))\
         GLOBAL_UNIT_ASSIGNED_CONTEXT(({millimetres},{radians},{steradians}))REPRESENTATION_CONTEXT('','3D'))"
    ));
    let origin = file.origin();
    let whole = file.product(title, (&products, &designs));
    let whole_shape = file.add(format!("SHAPE_REPRESENTATION('',({origin}),{space})"));
    file.add(format!(
        "SHAPE_DEFINITION_REPRESENTATION({},{whole_shape})",
        whole.shape
    ));
    let mut styled = Vec::new();
    for (number, body) in (1..).zip(bodies) {
        let solids = match &body.form {
            Form::Exact(parts) => parts
                .iter()
                .flat_map(|(boundary, pose)| file.solids(&body.name, boundary, pose))
                .collect(),
            Form::Facets(mesh) => vec![file.facets(&body.name, mesh)],
        };
        styled.extend(file.styled(&solids, body.colour));
        let part = file.product(&body.name, (&products, &designs));
        let frame = file.origin();
        let shape = file.add(format!(
            "ADVANCED_BREP_SHAPE_REPRESENTATION('',({frame},{}),{space})",
            solids.join(",")
        ));
        file.add(format!("SHAPE_DEFINITION_REPRESENTATION({},{shape})", part.shape));
        file.placed(number, (&whole, &part), (&whole_shape, &shape), (&origin, &frame));
    }
    if !styled.is_empty() {
        file.add(format!(
            "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({}),{space})",
            styled.join(",")
        ));
    }
    let named = entities::text(title);
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('Case interior in case coordinates, mm: x along the case, z up from the base floor.',\
         'Foam at net size as cut; equipment exact, as facets, or as outer sections, as its name says.'),'2;1');\n\
         FILE_NAME('{named}','{date}T00:00:00',(''),(''),'Caddis {version}','Caddis','');\n\
         FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\nENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
        file.into_text()
    )
}
