#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

std::string base64(const std::string& bytes) {
  constexpr const char* kDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) { return k < bytes.size() ? static_cast<unsigned char>(bytes[k]) : 0u; };
    const unsigned bits = byte(i) << 16 | byte(i + 1) << 8 | byte(i + 2);
    out += kDigits[bits >> 18];
    out += kDigits[bits >> 12 & 63];
    out += i + 1 < bytes.size() ? kDigits[bits >> 6 & 63] : '=';
    out += i + 2 < bytes.size() ? kDigits[bits & 63] : '=';
  }
  return out;
}

/// The picture, or in its place the reason why there is none.
Markup picture(const Page& page, const PictureRequest& request, const std::string& alt) {
  const Result<std::string> png =
      page.pictures ? page.pictures(page.installation, page.evaluation, request)
                    : Result<std::string>(fail(ErrorCode::not_supported, "pictures", "no pictures were asked for"));
  if (!png) {
    return tag("div", "none", tag("span", "No picture here."_h) + tag("small", text(to_line(png.error()))));
  }
  return "<img alt=\""_h + text(alt) + "\" width=\""_h + text(request.width_px) + "\" height=\""_h +
         text(request.height_px) + "\" src=\"data:image/png;base64,"_h + text(base64(*png)) + "\">"_h;
}

Markup overview(const Page& page, PictureRequest::View view, const char* caption, int width, int height) {
  PictureRequest request;
  request.view = view;
  request.width_px = width;
  request.height_px = height;
  return picture(page, request, caption) + tag("figcaption", text(caption));
}

Markup close_up_caption(const Page& page, const checks::Finding& finding) {
  const Figures& f = page.figures;
  const auto& m = std::get<measure::Measured>(finding.outcome);
  const int more = f.decimals_to_tell(m, finding.limit);
  const int number = page.number_of(finding);
  const std::string u = f.uncertainty(m, more);
  const std::string interval = f.interval(m, more);
  std::string line = finding.title + (m.pose_name.empty() ? "" : ", " + m.pose_name) +
                     (m.assumed_motion ? " (assumed movement)" : "") + ": " + f.measured(m, more);
  if (!interval.empty()) line += ", interval " + interval + (u.empty() ? "" : " (U " + u + ")");
  line += ", limit " + f.limit(*finding.limit, more) + ". ";
  return tag("figcaption", tag("b", text(finding.subject)) + " "_h + "<a href=\"#f"_h + text(number) + "\">No. "_h +
                               text(number) + "</a><br>"_h + text(line) + verdict_mark(finding.verdict));
}

}  // namespace

Markup picture_section(const Page& page) {
  Markup out = section_heading(2, "pictures", "Pictures") + tag("h3", "The bay with the duct, at rest"_h);
  // Sizes: what is written in a picture is to be read at the size it has on a page 1180 px wide.
  out += tag("div", "views",
             tag("figure", "wide",
                 overview(page, PictureRequest::View::oblique, "From the front and above, as it stands.", 1500, 900)));
  out += tag(
      "div", "views three",
      tag("figure", overview(page, PictureRequest::View::from_left, "From the left. Front to the left.", 640, 520)) +
          tag("figure", overview(page, PictureRequest::View::from_top, "From above. Front at the top.", 640, 520)) +
          tag("figure", overview(page, PictureRequest::View::from_front, "From the front.", 640, 520)));
  const auto places = tightest_places(page.evaluation, 5);
  out += tag("h3", "The tightest places, worst first"_h);
  if (places.empty()) {
    return out + tag("p", "lede", "No clearance with a place was measured, so there is nothing to show close up."_h);
  }
  Markup figures;
  for (const checks::Finding* place : places) {
    PictureRequest request;
    request.view = PictureRequest::View::close_up;
    request.finding = place;
    request.width_px = 760;
    request.height_px = 600;
    const Markup figure = picture(page, request, "Close-up: " + place->subject) + close_up_caption(page, *place);
    figures += tag("figure", figure);
  }
  return out + tag("div", "views", figures);
}

}  // namespace baywright::report
