#include <APIHeaderSection_MakeHeader.hxx>
#include <Interface_Static.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <STEPConstruct_Styles.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <StepVisual_Colour.hxx>
#include <StepVisual_MechanicalDesignGeometricPresentationRepresentation.hxx>
#include <StepVisual_PresentationStyleAssignment.hxx>
#include <StepVisual_StyledItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_WorkSession.hxx>
#include <sstream>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"

namespace baywright {
namespace {

Handle(TCollection_HAsciiString) text(const std::string& s) { return new TCollection_HAsciiString(s.c_str()); }

/// The same bytes for the same model: no clock, no host, no user.
void set_header(const Handle(StepData_StepModel) & model, const std::string& name) {
  APIHeaderSection_MakeHeader header(model);
  header.SetName(text(name));
  header.SetTimeStamp(text("2000-01-01T00:00:00"));
  header.SetAuthorValue(1, text(""));
  header.SetOrganizationValue(1, text(""));
  header.SetAuthorisation(text(""));
  header.SetOriginatingSystem(text("Baywright"));
  header.SetPreprocessorVersion(text("Baywright"));
}

/// What a style is hung on: the solids of a part, or its shells, or its faces.
std::vector<TopoDS_Shape> styled_shapes(const TopoDS_Shape& shape) {
  std::vector<TopoDS_Shape> found;
  for (const TopAbs_ShapeEnum kind : {TopAbs_SOLID, TopAbs_SHELL, TopAbs_FACE}) {
    for (TopExp_Explorer it(shape, kind); it.More(); it.Next()) found.push_back(it.Current());
    if (!found.empty()) break;
  }
  return found;
}

/// Colours in the order of the parts. The kernel's own writer puts them in the order of memory addresses, so that no
/// two runs would write the same bytes.
void add_colors(const Handle(XSControl_WorkSession) & session, const std::vector<StepOut>& parts) {
  STEPConstruct_DataMapOfAsciiStringTransient predefined;
  STEPConstruct_DataMapOfPointTransient known;
  for (const StepOut& part : parts) {
    if (!part.color) continue;
    const Rgb& c = *part.color;
    STEPConstruct_Styles styles(session);
    const Handle(StepVisual_Colour) color =
        STEPConstruct_Styles::EncodeColor(Quantity_Color(c[0], c[1], c[2], Quantity_TOC_sRGB), predefined, known);
    const std::vector<TopoDS_Shape> shapes = styled_shapes(occt::Access::shape(part.shape));
    for (const TopoDS_Shape& shape : shapes) {
      const Handle(StepVisual_PresentationStyleAssignment) style =
          styles.MakeColorPSA(nullptr, color, nullptr, nullptr, 0);
      styles.AddStyle(shape, style, nullptr);
    }
    Handle(StepVisual_MechanicalDesignGeometricPresentationRepresentation) drawing;
    if (styles.CreateMDGPR(styles.FindContext(occt::Access::shape(part.shape)), drawing)) {
      session->Model()->AddWithRefs(drawing);
    }
  }
}

Result<std::string> step_text(const std::vector<StepOut>& parts, const std::string& assembly_name) {
  const std::scoped_lock lock(occt::step_mutex());
  STEPCAFControl_Writer writer;  // first: it registers the settings below
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
  Interface_Static::SetCVal("write.step.unit", "MM");
  Interface_Static::SetCVal("write.step.schema", "AP214IS");
  // Edges without their images on the surfaces: readers find those again, and the file is half as large.
  Interface_Static::SetIVal("write.surfacecurve.mode", 0);
  const Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  const Handle(XCAFDoc_ShapeTool) shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  XCAFDoc_ShapeTool::SetAutoNaming(Standard_False);
  for (const StepOut& part : parts) {
    const TDF_Label label = shapes->AddShape(occt::Access::shape(part.shape), /*makeAssembly=*/Standard_False);
    TDataStd_Name::Set(label, TCollection_ExtendedString(part.name.c_str(), Standard_True));
  }
  writer.SetColorMode(Standard_False);  // see add_colors
  writer.SetNameMode(Standard_True);
  writer.SetLayerMode(Standard_False);
  writer.SetPropsMode(Standard_False);
  if (!writer.Transfer(document, STEPControl_AsIs)) {
    return fail(ErrorCode::kernel_failed, assembly_name, "the kernel cannot write these shapes as STEP");
  }
  add_colors(writer.ChangeWriter().WS(), parts);
  const Handle(StepData_StepModel) model = writer.ChangeWriter().Model();
  set_header(model, assembly_name);
  StepData_StepWriter printer(model);
  printer.SendModel(Handle(StepData_Protocol)::DownCast(writer.ChangeWriter().WS()->Protocol()));
  std::ostringstream out;
  if (!printer.Print(out))
    return fail(ErrorCode::kernel_failed, assembly_name, "the kernel cannot print the STEP text");
  return std::move(out).str();
}

}  // namespace

Result<void> write_step(const std::filesystem::path& path, const std::vector<StepOut>& parts,
                        const std::string& assembly_name) {
  EXPECTS(!parts.empty());
  const Result<std::string> bytes =
      occt::guard(path.filename().string(), [&] { return step_text(parts, assembly_name); });
  if (!bytes) return tl::unexpected(bytes.error());
  return write_file(path, *bytes);
}

}  // namespace baywright
