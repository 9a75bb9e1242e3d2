#include "geometry/occt/step_walk.hpp"

#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <GProp_GProps.hxx>
#include <Quantity_Color.hxx>
#include <TColStd_HSequenceOfExtendedString.hxx>
#include <TCollection_AsciiString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_LayerTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <algorithm>
#include <map>
#include <unordered_map>

#include "geometry/occt/access.hpp"

namespace baywright::occt {
namespace {

std::string name_of(const TDF_Label& label) {
  Handle(TDataStd_Name) name;
  if (!label.FindAttribute(TDataStd_Name::GetID(), name)) return {};
  // Without a replacement character the text comes out as UTF-8.
  std::string text = TCollection_AsciiString(name->Get()).ToCString();
  std::replace_if(
      text.begin(), text.end(), [](unsigned char c) { return c < ' '; }, ' ');
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

Rgb rgb(const Quantity_Color& color) {
  Standard_Real r = 0, g = 0, b = 0;
  color.Values(r, g, b, Quantity_TOC_sRGB);
  return {static_cast<float>(r), static_cast<float>(g), static_cast<float>(b)};
}

/// Surfaces of a leaf without its loose curves and points.
struct Cleaned {
  TopoDS_Shape shape;  // null: no faces
  int open_surfaces = 0;
  int loose_curves = 0;
};

Cleaned cleaned(const TopoDS_Shape& raw) {
  Cleaned out;
  std::vector<TopoDS_Shape> kept;
  for (TopExp_Explorer it(raw, TopAbs_SOLID); it.More(); it.Next()) {
    if (TopExp_Explorer(it.Current(), TopAbs_FACE).More()) kept.push_back(it.Current());
  }
  for (TopExp_Explorer it(raw, TopAbs_SHELL, TopAbs_SOLID); it.More(); it.Next()) {
    if (!TopExp_Explorer(it.Current(), TopAbs_FACE).More()) continue;
    kept.push_back(it.Current());
    ++out.open_surfaces;
  }
  for (TopExp_Explorer it(raw, TopAbs_FACE, TopAbs_SHELL); it.More(); it.Next()) {
    kept.push_back(it.Current());
    ++out.open_surfaces;
  }
  for (TopExp_Explorer it(raw, TopAbs_EDGE, TopAbs_FACE); it.More(); it.Next()) ++out.loose_curves;
  if (kept.size() == 1) out.shape = kept.front();
  if (kept.size() > 1) {
    TopoDS_Compound compound;
    const BRep_Builder builder;
    builder.MakeCompound(compound);
    for (const TopoDS_Shape& s : kept) builder.Add(compound, s);
    out.shape = compound;
  }
  return out;
}

class Walker {
 public:
  Walker(const Handle(TDocStd_Document) & document, StepModel& model)
      : shapes_(XCAFDoc_DocumentTool::ShapeTool(document->Main())),
        colors_(XCAFDoc_DocumentTool::ColorTool(document->Main())),
        layers_(XCAFDoc_DocumentTool::LayerTool(document->Main())),
        model_(model) {}

  void run() {
    TDF_LabelSequence roots;
    shapes_->GetFreeShapes(roots);
    model_.roots = roots.Length();
    for (const TDF_Label& root : roots) visit(root, TopLoc_Location(), {}, "", 0);
    say_what_was_left_out();
  }

 private:
  struct Inherited {
    std::optional<Rgb> color;
    std::string layer;
  };

  std::optional<Rgb> color_of(const TDF_Label& label) const {
    Quantity_Color color;
    for (const XCAFDoc_ColorType type : {XCAFDoc_ColorSurf, XCAFDoc_ColorGen}) {
      if (colors_->GetColor(label, type, color)) return rgb(color);
    }
    return {};
  }

  std::string layer_of(const TDF_Label& label) const {
    const Handle(TColStd_HSequenceOfExtendedString) names = layers_->GetLayers(label);
    if (names.IsNull() || names->IsEmpty()) return {};
    return TCollection_AsciiString(names->First()).ToCString();
  }

  /// The colour that covers most of a leaf whose faces or bodies are coloured one by one.
  std::optional<Rgb> color_by_area(const TDF_Label& leaf, const TopoDS_Shape& shape) const {
    TDF_LabelSequence subs;
    XCAFDoc_ShapeTool::GetSubShapes(leaf, subs);
    std::map<int, Rgb> painted;  // face number -> colour; faces are painted after the bodies that hold them
    TopTools_IndexedMapOfShape faces;
    TopExp::MapShapes(shape, TopAbs_FACE, faces);
    for (const bool single_faces : {false, true}) {
      for (const TDF_Label& sub : subs) {
        const std::optional<Rgb> color = color_of(sub);
        const TopoDS_Shape part = XCAFDoc_ShapeTool::GetShape(sub);
        if (!color || part.IsNull() || (part.ShapeType() == TopAbs_FACE) != single_faces) continue;
        for (TopExp_Explorer it(part, TopAbs_FACE); it.More(); it.Next()) {
          if (const int i = faces.FindIndex(it.Current()); i > 0) painted[i] = *color;
        }
      }
    }
    if (painted.empty()) return {};
    std::map<Rgb, double> areas;
    for (const auto& [i, color] : painted) {
      GProp_GProps props;
      BRepGProp::SurfaceProperties(faces(i), props);
      areas[color] += props.Mass();
    }
    return std::max_element(areas.begin(), areas.end(),
                            [](const auto& a, const auto& b) { return a.second < b.second; })
        ->first;
  }

  std::string unique(const std::string& path) {
    const int n = ++seen_[path];
    return n == 1 ? path : path + "#" + std::to_string(n);
  }

  void visit(const TDF_Label& label, const TopLoc_Location& above, Inherited from, const std::string& parent,
             int depth) {
    model_.depth = std::max(model_.depth, depth);
    if (depth > 0) ++model_.instances;
    TDF_Label product = label;
    TopLoc_Location place = above;
    if (XCAFDoc_ShapeTool::IsReference(label)) {
      XCAFDoc_ShapeTool::GetReferredShape(label, product);
      place = above * XCAFDoc_ShapeTool::GetLocation(label);
    }
    std::string name = name_of(product);
    if (name.empty()) name = name_of(label);
    const std::string path = (parent.empty() ? "" : parent + "/") + (name.empty() ? "unnamed" : name);
    // Nearest wins: the instance, then the product, then (leaves) its bodies and faces, then what is above.
    std::optional<Rgb> own = product == label ? std::nullopt : color_of(label);
    if (!own) own = color_of(product);
    if (own) from.color = own;
    for (const TDF_Label& l : {product, label}) {
      if (std::string layer = layer_of(l); !layer.empty()) from.layer = std::move(layer);
    }
    if (XCAFDoc_ShapeTool::IsAssembly(product)) {
      TDF_LabelSequence components;
      XCAFDoc_ShapeTool::GetComponents(product, components);
      const std::string here = unique(path);
      for (const TDF_Label& component : components) visit(component, place, from, here, depth + 1);
      return;
    }
    leaf(product, place, from, own.has_value(), name, path);
  }

  void leaf(const TDF_Label& product, const TopLoc_Location& place, const Inherited& from, bool own_color,
            const std::string& name, const std::string& path) {
    const TopoDS_Shape raw = XCAFDoc_ShapeTool::GetShape(product);
    const Cleaned surfaces = raw.IsNull() ? Cleaned{} : cleaned(raw);
    if (surfaces.shape.IsNull()) {
      ++without_faces_;
      return;
    }
    if (surfaces.loose_curves > 0) ++with_curves_;
    open_surfaces_ += surfaces.open_surfaces;
    StepPart part;
    part.name = name;
    part.path = unique(path);
    part.layer = from.layer;
    part.color = from.color;
    if (!own_color) {
      if (const std::optional<Rgb> color = color_by_area(product, raw)) part.color = color;
    }
    part.shape = Access::make(surfaces.shape.Moved(place));
    model_.parts.push_back(std::move(part));
  }

  void say_what_was_left_out() {
    if (without_faces_ > 0) {
      model_.warnings.push_back(std::to_string(without_faces_) +
                                " part(s) hold no surface (only curves, points or nothing) and were left out");
    }
    if (with_curves_ > 0) {
      model_.warnings.push_back("loose curves beside the surfaces of " + std::to_string(with_curves_) +
                                " part(s) were left out");
    }
    if (open_surfaces_ > 0) {
      model_.warnings.push_back(std::to_string(open_surfaces_) +
                                " surface(s) do not close a solid: they count for distances, not for volume or inside");
    }
  }

  Handle(XCAFDoc_ShapeTool) shapes_;
  Handle(XCAFDoc_ColorTool) colors_;
  Handle(XCAFDoc_LayerTool) layers_;
  StepModel& model_;
  std::unordered_map<std::string, int> seen_;
  int without_faces_ = 0;
  int with_curves_ = 0;
  int open_surfaces_ = 0;
};

}  // namespace

void walk_document(const Handle(TDocStd_Document) & document, StepModel& model) { Walker(document, model).run(); }

}  // namespace baywright::occt
