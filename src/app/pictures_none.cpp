#include "app/pictures.hpp"

namespace baywright::app {

report::PictureSource picture_source() {
  return [](const job::Installation&, const checks::Evaluation&, const report::PictureRequest&) -> Result<std::string> {
    return fail(ErrorCode::not_supported, "pictures", "this program was built without pictures");
  };
}

}  // namespace baywright::app
