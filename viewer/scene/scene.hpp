#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "job/assemble.hpp"
#include "viewer/scene/drawn_clamps.hpp"
#include "viewer/scene/posed.hpp"
#include "viewer/scene/views.hpp"

class vtkRenderer;

namespace baywright::viewer {

struct PartDrawings;

/// Points a renderer's camera.
void aim(vtkRenderer* renderer, const Shot& shot);

/// Parts and ducts of an installation as actors of one renderer. Geometry once converted is kept as long as the part
/// it came from is shown, so that showing the next state of a job costs only what changed. One thread at a time.
class Scene {
 public:
  /// The renderer must outlive the scene.
  explicit Scene(vtkRenderer* renderer);
  ~Scene();
  Scene(const Scene&) = delete;
  Scene& operator=(const Scene&) = delete;

  /// Replaces what is shown; everything visible, at rest. The installation must outlive the next call. Parts without
  /// a drawing among `drawings` are drawn here and now.
  void show(const job::Installation& installation, const PartDrawings* drawings = nullptr);
  void clear();
  /// The same bay with other ducts; pose, looks, cuts and camera stay. EXPECTS the parts that are shown. The
  /// installation must outlive the next call.
  void show_ducts(const job::Installation& installation);
  /// Draws `as` in the place of a duct, at rest, while somebody moves it; null: the installation's own again. Pieces
  /// that are the same as before are not made anew.
  void show_moved(int duct, const duct::Duct* as);
  /// A duct that is not what it should be: half transparent with faint edges.
  void set_faded(int duct, bool faded);

  /// Where clamps lie whose positions the job does not state; they are drawn there until other ones are found or
  /// another installation is shown.
  void show_clamps(std::vector<FoundClamp> found);

  void set_pose(const PosedState& state);
  const PosedState& pose() const;

  /// outline: only its edges, faint; nothing at all when it has so many that they would hide what is behind.
  enum class Look { solid, outline, hidden };
  void set_look(int part, Look look);
  void cut(const std::vector<Cut>& cuts);  ///< replaces all cuts
  void set_duct_visible(int duct, bool visible);

  /// Part and piece drawn in the highlight colour with a heavier outline; -1: none. `see_through`: the piece is drawn
  /// half transparent (overlaps).
  void highlight(int part, PieceRef piece, bool see_through);
  /// Width of lines in pixels of the target relative to a plain screen (pictures are drawn larger and reduced).
  void set_line_scale(double scale);

  void aim(const Shot& shot);  ///< camera only

  /// Parts that have a likeness are drawn as it, to be turned quickly. True when the picture has changed.
  bool set_coarse(bool coarse);

  /// Adds what is drawn to another renderer of the same window, but for the given parts.
  void also_in(vtkRenderer* renderer, const std::vector<int>& without) const;

  Look look(int part) const;
  bool hides(int part) const;  ///< drawn solid and not cut open
  const std::vector<Cut>& cuts() const;
  const job::Installation* installation() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace baywright::viewer
