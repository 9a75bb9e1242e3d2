#include "viewer/snapshot.hpp"

#include <memory>

#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGWriter.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkUnsignedCharArray.h>

#include "viewer/scene/egl_window.hpp"
#include "viewer/scene/lighting.hpp"
#include "viewer/scene/marks.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/scene.hpp"

namespace baywright::viewer {

namespace {

/// Pictures are drawn this much larger and reduced by averaging: smooth lines and text on every driver, and the same
/// bytes each time.
constexpr int kOversize = 2;

/// One off-screen window with what was drawn last, so that the pictures of one report share their geometry.
struct Studio {
  std::unique_ptr<EglWindow> window;
  vtkNew<vtkRenderer> renderer;
  vtkNew<vtkRenderer> inset;  ///< the whole, small, in a corner of close-ups
  std::unique_ptr<Scene> scene;
  std::unique_ptr<Overlay> overlay;

  ~Studio() {
    overlay.reset();
    scene.reset();
    if (!window) return;
    window->ready(64, 64)->RemoveRenderer(renderer);
    window->window()->RemoveRenderer(inset);
  }
};

Result<Studio*> studio() {
  // EGL contexts belong to a thread.
  thread_local std::unique_ptr<Studio> shared;
  if (shared) return shared.get();
  auto window = EglWindow::open();
  if (!window) return tl::unexpected<Error>(window.error());
  auto made = std::make_unique<Studio>();
  made->window = std::move(*window);
  made->window->window()->AddRenderer(made->renderer);
  made->renderer->SetBackground(1, 1, 1);
  made->renderer->SetUseFXAA(false);
  light(made->renderer);
  made->window->window()->AddRenderer(made->inset);
  made->inset->SetBackground(1, 1, 1);
  light(made->inset);
  made->scene = std::make_unique<Scene>(made->renderer);
  made->scene->set_line_scale(kOversize);
  made->overlay = std::make_unique<Overlay>(made->window->window(), made->renderer);
  made->overlay->set_scale(kOversize);
  shared = std::move(made);
  return shared.get();
}

/// Mean of each block of kOversize x kOversize pixels; rows from the bottom up in both.
vtkSmartPointer<vtkImageData> reduced(const unsigned char* large, int width, int height) {
  auto image = vtkSmartPointer<vtkImageData>::New();
  image->SetDimensions(width, height, 1);
  image->AllocateScalars(VTK_UNSIGNED_CHAR, 3);
  auto* out = static_cast<unsigned char*>(image->GetScalarPointer());
  const std::size_t row = static_cast<std::size_t>(width) * kOversize * 3;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      for (int c = 0; c < 3; ++c) {
        int sum = 0;
        for (int dy = 0; dy < kOversize; ++dy)
          for (int dx = 0; dx < kOversize; ++dx)
            sum += large[static_cast<std::size_t>(y * kOversize + dy) * row +
                         static_cast<std::size_t>((x * kOversize + dx) * 3 + c)];
        *out++ = static_cast<unsigned char>((sum + kOversize * kOversize / 2) / (kOversize * kOversize));
      }
    }
  }
  return image;
}

std::string png(vtkImageData* image) {
  vtkNew<vtkPNGWriter> writer;
  writer->SetInputData(image);
  writer->WriteToMemoryOn();
  writer->Write();
  auto* bytes = writer->GetResult();
  return {reinterpret_cast<const char*>(bytes->GetPointer(0)), static_cast<std::size_t>(bytes->GetNumberOfValues())};
}

std::string named(const job::Installation& installation, const std::vector<int>& parts) {
  constexpr std::size_t kMost = 4;
  std::string text;
  for (std::size_t i = 0; i < parts.size() && i < kMost; ++i) {
    const auto& part = installation.bay.parts[static_cast<std::size_t>(parts[i])];
    if (i > 0) text += ", ";
    text += part.name.empty() ? part.id.value : part.name;
  }
  if (parts.size() > kMost) text += " and " + std::to_string(parts.size() - kMost) + " more";
  return text;
}

/// What was taken out of the camera's way, in words; "" when nothing was.
std::string cleared(const job::Installation& installation, const Shot& shot) {
  std::string text;
  if (!shot.outlined.empty()) text += "Out of the way: " + named(installation, shot.outlined);
  std::vector<int> cut;
  for (const auto& one : shot.cuts) cut.push_back(one.part);
  if (cut.empty()) return text;
  if (!text.empty()) text += ". ";
  return text + "Cut open: " + named(installation, cut);
}

/// A bonnet lies over everything: even its outline would cross the whole picture.
Scene::Look out_of_the_way(const bay::Part& part) {
  return part.part_class == bay::PartClass::bonnet ? Scene::Look::hidden : Scene::Look::outline;
}

void apply(Scene& scene, const Shot& shot) {
  for (const int part : shot.outlined)
    scene.set_look(part, out_of_the_way(scene.installation()->bay.parts[static_cast<std::size_t>(part)]));
  scene.cut(shot.cuts);
  scene.aim(shot);
}

void draw_page(Overlay& overlay, const job::Installation& installation, const Shot& shot, const std::string& pose) {
  draw_axes(overlay, shot.up.cross(shot.toward), shot.up, {100, kCaptionHeight_px + 80}, 46);
  draw_scale_bar(overlay, shot.half_height_mm, installation.job.units, kCaptionHeight_px + 18);
  draw_caption(overlay, "Seen " + shot.direction + ". Pose: " + pose, cleared(installation, shot));
}

/// Shows what the scene shows, from the front and above, in the upper left corner.
Box2 show_inset(Studio& s, const job::Installation& installation, const Place& place) {
  constexpr double kShare = 0.24;
  const Pixel page = s.overlay->size();
  const Box2 area{{0, page.y() * (1 - kShare)}, {page.x() * kShare, page.y()}};
  s.inset->RemoveAllViewProps();
  s.inset->SetViewport(0, 1 - kShare, kShare, 1);
  const Vec3 side = Vec3(0.55, place.focus_mm.y() < 0 ? -0.4 : 0.4, 0.9).normalized();
  s.scene->also_in(s.inset, covering_parts(installation, side, place.state));
  const Shot shot = ducts_framed(installation, side, page.x() / page.y(), place.state);
  aim(s.inset, shot);
  draw_inset(*s.overlay, area, shot, place.focus_mm);
  return area;
}

void draw_close_up(Studio& s, const job::Installation& installation, const checks::Finding& finding, const Place& place,
                   double aspect) {
  const Shot shot = close_up(installation, place, aspect);
  s.scene->set_pose(place.state);
  s.scene->highlight(place.part, place.piece, place.interferes);
  apply(*s.scene, shot);
  const Pixel page = s.overlay->size();
  const Box2 inset = show_inset(s, installation, place);
  const Box2 axes{{0, 0}, {200, kCaptionHeight_px + 160}}, bar{{page.x() - 220, 0}, {page.x(), kCaptionHeight_px + 60}};
  const Box2 labels{{6, kCaptionHeight_px + 6}, page - Pixel(6, 6)};
  draw_finding(*s.overlay, installation, finding, {place, true, {}}, labels, {inset, axes, bar});
  const auto& measured = std::get<measure::Measured>(finding.outcome);
  draw_page(*s.overlay, installation, shot, measured.pose_name.empty() ? "at rest" : measured.pose_name);
}

}  // namespace

Result<std::string> snapshot_png(const job::Installation& installation, const checks::Evaluation& evaluation,
                                 const report::PictureRequest& request) {
  if (request.width_px < 64 || request.height_px < 64 || request.width_px > 8192 || request.height_px > 8192)
    return fail(ErrorCode::bad_value, "pictures", "a picture has 64 to 8192 pixels a side");
  auto opened = studio();
  if (!opened) return tl::unexpected<Error>(opened.error());
  Studio& s = **opened;
  auto* window = s.window->ready(request.width_px * kOversize, request.height_px * kOversize);
  const double aspect = static_cast<double>(request.width_px) / request.height_px;
  s.scene->show(installation);
  s.scene->show_clamps(found_clamps(evaluation));

  std::optional<Place> place;
  if (request.view == report::PictureRequest::View::close_up && request.finding != nullptr)
    place = place_of(installation, *request.finding);
  if (request.view == report::PictureRequest::View::close_up && !place)
    return fail(ErrorCode::bad_value, "pictures", "this finding has no place in the bay that could be shown");

  s.overlay->clear();
  s.inset->SetDraw(place.has_value());
  // The face of a report is worth the time; the others are read for their lines and figures.
  shade_corners(s.renderer, request.view == report::PictureRequest::View::oblique);
  if (place) {
    draw_close_up(s, installation, *request.finding, *place, aspect);
  } else {
    const Shot shot = standard_view(installation, request.view, aspect, s.scene->pose());
    apply(*s.scene, shot);
    const Sight sight(installation, s.scene->pose());
    for (int d = 0; d < static_cast<int>(installation.ducts.size()); ++d)
      draw_stations(*s.overlay, installation, d, sight, shot.toward, [&](int part) { return s.scene->hides(part); });
    draw_page(*s.overlay, installation, shot, "at rest");
  }
  s.overlay->commit();
  window->Render();
  vtkNew<vtkUnsignedCharArray> pixels;
  window->GetPixelData(0, 0, request.width_px * kOversize - 1, request.height_px * kOversize - 1, 0, pixels);
  return png(reduced(pixels->GetPointer(0), request.width_px, request.height_px));
}

}  // namespace baywright::viewer
