#include "app/pictures.hpp"
#include "viewer/snapshot.hpp"

namespace baywright::app {

report::PictureSource picture_source() { return viewer::snapshot_png; }

}  // namespace baywright::app
