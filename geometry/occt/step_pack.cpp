#include "geometry/occt/step_pack.hpp"

#include <BRep_Builder.hxx>
#include <BinTools.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Iterator.hxx>
#include <cstdint>
#include <sstream>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"

namespace baywright::occt {
namespace {

class Writer {
 public:
  template <class T>
  void value(const T& v) {
    out_.write(reinterpret_cast<const char*>(&v), sizeof v);
  }
  void text(const std::string& s) {
    value(std::uint64_t{s.size()});
    out_.write(s.data(), static_cast<std::streamsize>(s.size()));
  }
  std::ostream& stream() { return out_; }
  std::string take() { return std::move(out_).str(); }

 private:
  std::ostringstream out_;
};

class Reader {
 public:
  explicit Reader(const std::string& bytes) : in_(bytes) {}
  template <class T>
  T value() {
    T v{};
    in_.read(reinterpret_cast<char*>(&v), sizeof v);
    EXPECTS(in_.good());
    return v;
  }
  std::string text() {
    std::string s(value<std::uint64_t>(), '\0');
    in_.read(s.data(), static_cast<std::streamsize>(s.size()));
    EXPECTS(in_.good());
    return s;
  }
  std::istream& stream() { return in_; }

 private:
  std::istringstream in_;
};

}  // namespace

std::string pack(const Result<StepModel>& model) {
  Writer out;
  out.value(model.has_value());
  if (!model) {
    out.value(model.error().code);
    out.text(model.error().where);
    out.text(model.error().message);
    return out.take();
  }
  out.text(model->unit);
  out.value(model->roots);
  out.value(model->instances);
  out.value(model->depth);
  out.value(model->warnings.size());
  for (const std::string& w : model->warnings) out.text(w);
  out.value(model->parts.size());
  TopoDS_Compound all;
  const BRep_Builder builder;
  builder.MakeCompound(all);
  for (const StepPart& part : model->parts) {
    out.text(part.name);
    out.text(part.path);
    out.text(part.layer);
    out.value(part.color.has_value());
    out.value(part.color.value_or(Rgb{}));
    builder.Add(all, Access::shape(part.shape));
  }
  BinTools::Write(all, out.stream(), /*theWithTriangles=*/false, /*theWithNormals=*/false,
                  BinTools_FormatVersion_CURRENT);
  return out.take();
}

Result<StepModel> unpack(const std::string& bytes) {
  Reader in(bytes);
  if (!in.value<bool>()) {
    const auto code = in.value<ErrorCode>();
    std::string where = in.text();
    return fail(code, std::move(where), in.text());
  }
  StepModel model;
  model.unit = in.text();
  model.roots = in.value<int>();
  model.instances = in.value<int>();
  model.depth = in.value<int>();
  model.warnings.resize(in.value<std::size_t>());
  for (std::string& w : model.warnings) w = in.text();
  model.parts.resize(in.value<std::size_t>());
  for (StepPart& part : model.parts) {
    part.name = in.text();
    part.path = in.text();
    part.layer = in.text();
    const bool colored = in.value<bool>();
    const auto color = in.value<Rgb>();
    if (colored) part.color = color;
  }
  TopoDS_Shape all;
  BinTools::Read(all, in.stream());
  EXPECTS(!all.IsNull());
  TopoDS_Iterator it(all);
  for (StepPart& part : model.parts) {
    EXPECTS(it.More());
    part.shape = Access::make(it.Value());
    it.Next();
  }
  return model;
}

}  // namespace baywright::occt
