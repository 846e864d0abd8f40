// A plain C door to OpenCASCADE: one STEP file in, a list of triangulated bodies out, millimetres, placements applied.
// Nothing here decides whether a read can be trusted: it counts what the library complained of and hands over the exact
// volume, and the reader of the answer judges.

#include <cstddef>
#include <exception>
#include <string>
#include <utility>
#include <vector>

#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <IMeshTools_Parameters.hxx>
#include <Interface_Check.hxx>
#include <Interface_CheckIterator.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <OSD.hxx>
#include <Poly_Triangulation.hxx>
#include <STEPControl_Reader.hxx>
#include <Standard_ErrorHandler.hxx>
#include <Standard_Failure.hxx>
#include <StepBasic_Product.hxx>
#include <StepBasic_ProductDefinition.hxx>
#include <StepBasic_ProductDefinitionFormation.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

namespace {

struct Body {
    std::string name;                // as its entity is called in the file
    std::string product;             // as the product it is a body of is called
    std::vector<double> positions;   // x, y, z of each vertex, mm
    std::vector<unsigned> triangles; // three vertices each
    bool is_solid = false;
    bool is_valid = false;           // passes the library's own check of faces, edges and orientation
    double exact_volume = 0.0; // of a solid, mm³
    double exact_area = 0.0;   // mm²
    std::size_t unmeshed = 0;  // faces without triangles
};

} // namespace

struct CaddisStepModel {
    std::vector<Body> bodies;
    std::string error;
    std::string units; // names of the length units in the file, one a line
    std::size_t load_fails = 0;
    std::size_t transfer_fails = 0;
};

namespace {

std::size_t fails_in(Interface_CheckIterator checks) {
    std::size_t fails = 0;
    for (checks.Start(); checks.More(); checks.Next()) {
        fails += static_cast<std::size_t>(checks.Value()->NbFails());
    }
    return fails;
}

// What the file calls the entity that a shape came from; the shape of a placed part is that of the part, moved.
std::string name_of(const STEPControl_Reader& reader, const TopoDS_Shape& shape) {
    const Handle(Transfer_TransientProcess) process = reader.WS()->TransferReader()->TransientProcess();
    for (int k = 1; k <= process->NbMapped(); ++k) {
        const Handle(StepRepr_RepresentationItem) item =
            Handle(StepRepr_RepresentationItem)::DownCast(process->Mapped(k));
        if (item.IsNull() || item->Name().IsNull() || item->Name()->IsEmpty()) {
            continue;
        }
        if (TransferBRep::ShapeResult(process->MapItem(k)).IsPartner(shape)) {
            return item->Name()->ToCString();
        }
    }
    return "";
}

std::string text_of(const Handle(TCollection_HAsciiString) & text) {
    return text.IsNull() || text->IsEmpty() ? std::string() : std::string(text->ToCString());
}

// The product a body belongs to: of all whose shape holds it, placed or not, the one with the fewest bodies, for an assembly
// holds its parts' too.
std::string product_of(const STEPControl_Reader& reader, const TopoDS_Shape& shape) {
    const Handle(Transfer_TransientProcess) process = reader.WS()->TransferReader()->TransientProcess();
    std::string found;
    std::size_t fewest = 0;
    for (int k = 1; k <= process->NbMapped(); ++k) {
        const Handle(StepBasic_ProductDefinition) definition =
            Handle(StepBasic_ProductDefinition)::DownCast(process->Mapped(k));
        if (definition.IsNull() || definition->Formation().IsNull() ||
            definition->Formation()->OfProduct().IsNull()) {
            continue;
        }
        const TopoDS_Shape held = TransferBRep::ShapeResult(process->MapItem(k));
        if (held.IsNull()) {
            continue;
        }
        std::size_t bodies = 0;
        bool holds_it = false;
        for (TopExp_Explorer parts(held, shape.ShapeType()); parts.More(); parts.Next()) {
            ++bodies;
            holds_it = holds_it || parts.Current().IsPartner(shape);
        }
        if (!holds_it || (fewest > 0 && bodies >= fewest)) {
            continue;
        }
        const Handle(StepBasic_Product) product = definition->Formation()->OfProduct();
        const std::string name = text_of(product->Name());
        found = name.empty() ? text_of(product->Id()) : name;
        fewest = bodies;
    }
    return found;
}

void add_body(CaddisStepModel& model, const STEPControl_Reader& reader, const TopoDS_Shape& shape, bool is_solid) {
    Body body;
    body.name = name_of(reader, shape);
    body.product = product_of(reader, shape);
    body.is_solid = is_solid;
    body.is_valid = BRepCheck_Analyzer(shape).IsValid();
    GProp_GProps surface;
    BRepGProp::SurfaceProperties(shape, surface);
    body.exact_area = surface.Mass();
    if (is_solid) {
        GProp_GProps volume;
        BRepGProp::VolumeProperties(shape, volume);
        body.exact_volume = volume.Mass();
    }
    for (TopExp_Explorer faces(shape, TopAbs_FACE); faces.More(); faces.Next()) {
        const TopoDS_Face face = TopoDS::Face(faces.Current());
        TopLoc_Location location;
        const Handle(Poly_Triangulation) mesh = BRep_Tool::Triangulation(face, location);
        if (mesh.IsNull()) {
            ++body.unmeshed;
            continue;
        }
        const gp_Trsf placed = location.Transformation();
        const auto base = static_cast<unsigned>(body.positions.size() / 3);
        const bool is_reversed = face.Orientation() == TopAbs_REVERSED;
        for (int k = 1; k <= mesh->NbNodes(); ++k) {
            const gp_Pnt point = mesh->Node(k).Transformed(placed);
            body.positions.push_back(point.X());
            body.positions.push_back(point.Y());
            body.positions.push_back(point.Z());
        }
        for (int k = 1; k <= mesh->NbTriangles(); ++k) {
            int a = 0;
            int b = 0;
            int c = 0;
            mesh->Triangle(k).Get(a, b, c);
            if (is_reversed) {
                std::swap(b, c);
            }
            for (const int corner : {a, b, c}) {
                body.triangles.push_back(base + static_cast<unsigned>(corner - 1));
            }
        }
    }
    if (!body.triangles.empty() || body.unmeshed > 0) {
        model.bodies.push_back(std::move(body));
    }
}

void read(CaddisStepModel& model, const char* path, double chord, double angle) {
    OSD::SetSignal(Standard_False);
    // The library talks on standard output, which carries the answer.
    Message::DefaultMessenger()->ChangePrinters().Clear();

    STEPControl_Reader reader;
    Interface_Static::SetCVal("xstep.cascade.unit", "MM");
    const IFSelect_ReturnStatus status = reader.ReadFile(path);
    if (status != IFSelect_RetDone) {
        model.error = "it is not a readable STEP file";
        return;
    }
    model.load_fails = fails_in(reader.WS()->ModelCheckList(Standard_True));
    TColStd_SequenceOfAsciiString lengths;
    TColStd_SequenceOfAsciiString angles;
    TColStd_SequenceOfAsciiString solid_angles;
    reader.FileUnits(lengths, angles, solid_angles);
    for (int k = 1; k <= lengths.Length(); ++k) {
        model.units += lengths.Value(k).ToCString();
        model.units += '\n';
    }
    reader.TransferRoots();
    model.transfer_fails = fails_in(reader.WS()->TransferReader()->TransientProcess()->CheckList(Standard_False));
    const TopoDS_Shape shape = reader.OneShape();
    if (shape.IsNull()) {
        model.error = "no shape in it";
        return;
    }
    IMeshTools_Parameters parameters;
    parameters.Deflection = chord;
    parameters.Angle = angle;
    parameters.Relative = Standard_False;
    parameters.InParallel = Standard_False;
    BRepMesh_IncrementalMesh mesher(shape, parameters);
    for (TopExp_Explorer solids(shape, TopAbs_SOLID); solids.More(); solids.Next()) {
        add_body(model, reader, solids.Current(), true);
    }
    for (TopExp_Explorer shells(shape, TopAbs_SHELL, TopAbs_SOLID); shells.More(); shells.Next()) {
        add_body(model, reader, shells.Current(), false);
    }
    for (TopExp_Explorer faces(shape, TopAbs_FACE, TopAbs_SHELL); faces.More(); faces.Next()) {
        add_body(model, reader, faces.Current(), false);
    }
}

} // namespace

extern "C" {

CaddisStepModel* caddis_step_read(const char* path, double chord, double angle) {
    auto* model = new CaddisStepModel();
    try {
        OCC_CATCH_SIGNALS
        read(*model, path, chord, angle);
    } catch (const Standard_Failure& failure) {
        const char* words = failure.GetMessageString();
        model->error = std::string("OpenCASCADE broke off: ") + (words != nullptr ? words : "no reason given");
    } catch (const std::exception& failure) {
        model->error = std::string("reading broke off: ") + failure.what();
    } catch (...) {
        model->error = "reading broke off";
    }
    return model;
}

const char* caddis_step_error(const CaddisStepModel* model) { return model->error.c_str(); }
const char* caddis_step_units(const CaddisStepModel* model) { return model->units.c_str(); }
std::size_t caddis_step_load_fails(const CaddisStepModel* model) { return model->load_fails; }
std::size_t caddis_step_transfer_fails(const CaddisStepModel* model) { return model->transfer_fails; }
std::size_t caddis_step_bodies(const CaddisStepModel* model) { return model->bodies.size(); }

int caddis_step_is_solid(const CaddisStepModel* model, std::size_t body) { return model->bodies[body].is_solid ? 1 : 0; }
int caddis_step_is_valid(const CaddisStepModel* model, std::size_t body) { return model->bodies[body].is_valid ? 1 : 0; }
const char* caddis_step_name(const CaddisStepModel* model, std::size_t body) { return model->bodies[body].name.c_str(); }
const char* caddis_step_product(const CaddisStepModel* model, std::size_t body) {
    return model->bodies[body].product.c_str();
}
double caddis_step_exact_volume(const CaddisStepModel* model, std::size_t body) {
    return model->bodies[body].exact_volume;
}
double caddis_step_exact_area(const CaddisStepModel* model, std::size_t body) { return model->bodies[body].exact_area; }
std::size_t caddis_step_unmeshed(const CaddisStepModel* model, std::size_t body) { return model->bodies[body].unmeshed; }
std::size_t caddis_step_positions(const CaddisStepModel* model, std::size_t body, const double** out) {
    *out = model->bodies[body].positions.data();
    return model->bodies[body].positions.size();
}
std::size_t caddis_step_triangles(const CaddisStepModel* model, std::size_t body, const unsigned** out) {
    *out = model->bodies[body].triangles.data();
    return model->bodies[body].triangles.size();
}

void caddis_step_free(CaddisStepModel* model) { delete model; }

} // extern "C"
