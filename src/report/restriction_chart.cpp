#include <algorithm>
#include <cmath>
#include <vector>

#include "report/page.hpp"

namespace baywright::report {
namespace {

// Sizes in units of the drawing, 1000 wide; it scales with the page.
constexpr double kNames = 205;  // column of names
constexpr double kGap = 34;     // between the two panels
constexpr double kRow = 20;
constexpr double kTop = 46;
constexpr double kValues = 62;  // room for numbers right of the bars
constexpr double kWidth = 1000;
constexpr double kLeastWhisker = 4;

struct Bar {
  std::string name;
  double from_Pa = 0, to_Pa = 0;
  double low_Pa = 0, high_Pa = 0;  // whisker beyond `to_Pa`
  enum class Kind { element, total, gauge } kind = Kind::element;
};

struct Panel {
  const char* title = "";
  std::vector<Bar> bars;
  std::optional<double> limit_Pa;
  bool limit_on_gauges = false;  ///< the limit speaks of a gauge reading, not of the loss
  std::size_t gauge_count() const {
    return static_cast<std::size_t>(
        std::count_if(bars.begin(), bars.end(), [](const Bar& b) { return b.kind == Bar::Kind::gauge; }));
  }
};

/// Row names agree between the panels when the duct is the same; the filter's state is left to the panel's title.
std::string row_name(std::string name) {
  for (const char* state : {" (clean)", " (dirty)"}) {
    const std::size_t at = name.find(state);
    if (at != std::string::npos) name.erase(at, std::string(state).size());
  }
  return name;
}

Panel panel_of(const char* title, const flow::Restriction& r, const std::vector<flow::GaugeReading>& gauges,
               const std::optional<double>& limit_Pa, bool limit_on_gauges) {
  Panel panel{title, {}, limit_Pa, limit_on_gauges};
  double sum = 0;
  for (const flow::ElementLoss& e : r.elements) {
    const Band band(e.band);
    panel.bars.push_back({row_name(e.name), sum, sum + e.loss.si(), band.low(), band.high(), Bar::Kind::element});
    sum += e.loss.si();
  }
  panel.bars.push_back({"total loss", 0, r.total.si(), r.band.low(), r.band.high(), Bar::Kind::total});
  for (const flow::GaugeReading& g : gauges) {
    panel.bars.push_back({"gauge at " + g.tap, 0, g.reading.si(), g.band.low(), g.band.high(), Bar::Kind::gauge});
  }
  return panel;
}

/// Limit of a restriction check on this duct, when the sheet has one and the check was evaluated.
std::optional<double> limit_of(const checks::Evaluation::DuctResult& result, const std::string& check) {
  for (const checks::Finding& f : result.findings) {
    if (f.check == check && f.limit && f.limit->unit == Unit::pascal) return f.limit->value;
  }
  return std::nullopt;
}

/// A round step (1, 2 or 5 times a power of ten, display units) that gives at most six ticks.
double tick_step(double span) {
  double step = std::pow(10.0, std::floor(std::log10(span)) - 1);
  while (true) {
    for (const double factor : {1.0, 2.0, 5.0}) {
      if (span / (factor * step) <= 6) return factor * step;
    }
    step *= 10;
  }
}

Markup rect(const char* css_class, double x1, double x2, double y, double height) {
  return "<rect class=\""_h + text(css_class) + "\" x=\""_h + coordinate(std::min(x1, x2)) + "\" y=\""_h +
         coordinate(y) + "\" width=\""_h + coordinate(std::max(std::abs(x2 - x1), 1.0)) + "\" height=\""_h +
         coordinate(height) + "\"/>"_h;
}

class Drawing {
 public:
  Drawing(const Figures& figures, double x0, double width, double greatest_Pa)
      : figures_(figures), x0_(x0), scale_((width - kValues) / greatest_Pa), width_(width), greatest_Pa_(greatest_Pa) {}

  Markup panel(const Panel& panel) const {
    const double bottom = kTop + kRow * static_cast<double>(panel.bars.size());
    Markup out = drawn_words("b", x0_, 14, panel.title) + axis(bottom);
    if (panel.limit_Pa) {
      // Drawn only across the rows it may be compared with.
      const double between = bottom - kRow * static_cast<double>(panel.gauge_count());
      out += drawn_line("limit", x(*panel.limit_Pa), panel.limit_on_gauges ? between : kTop - 8, x(*panel.limit_Pa),
                        panel.limit_on_gauges ? bottom : between);
    }
    for (std::size_t i = 0; i < panel.bars.size(); ++i) out += bar(panel, i);
    if (panel.limit_Pa) {
      const bool left = x(*panel.limit_Pa) > x0_ + 0.6 * width_;
      out += drawn_words(left ? "limit_text halo e" : "limit_text halo", x(*panel.limit_Pa) + (left ? 4 : -4),
                         kTop - 12, "limit " + figures_.value(*panel.limit_Pa, Unit::pascal));
    }
    return out;
  }

 private:
  double x(double Pa) const { return x0_ + scale_ * Pa; }

  Markup axis(double bottom) const {
    const double unit_Pa = 1.0 / to_display(1.0, Unit::pascal, figures_.units());
    const double step = tick_step(greatest_Pa_ / unit_Pa);
    Markup out;
    for (int i = 0; i * step * unit_Pa <= greatest_Pa_; ++i) {
      const double at = x(i * step * unit_Pa);
      out += drawn_line(i == 0 ? "axis" : "grid", at, kTop - 4, at, bottom);
      out += drawn_words("q m", at, bottom + 15, fixed(i * step, step < 0.1 ? 2 : step < 1 ? 1 : 0));
    }
    return out + drawn_words("q e", x0_ + width_, bottom + 15, figures_.symbol(Unit::pascal));
  }

  Markup bar(const Panel& panel, std::size_t i) const {
    const Bar& b = panel.bars[i];
    const double top = kTop + kRow * static_cast<double>(i) + 3;
    const double height = kRow - 6;
    const char* css = b.kind == Bar::Kind::element ? "bar" : b.kind == Bar::Kind::total ? "bar_total" : "gauge";
    Markup out = rect(css, x(b.from_Pa), x(b.to_Pa), top, height);
    const bool carries_on = b.kind == Bar::Kind::element && i + 1 < panel.bars.size();
    if (carries_on) out += drawn_line("step", x(b.to_Pa), top + height, x(b.to_Pa), top + kRow);
    double end = std::max(b.from_Pa, b.to_Pa);
    // One that is hardly wider than its own line says nothing; the table has it.
    if (scale_ * (b.low_Pa + b.high_Pa) >= kLeastWhisker) {
      const double mid = top + height / 2;
      out += drawn_line("under", x(b.to_Pa - b.low_Pa), mid, x(b.to_Pa + b.high_Pa), mid) +
             drawn_line("whisker", x(b.to_Pa - b.low_Pa), mid, x(b.to_Pa + b.high_Pa), mid) +
             drawn_line("whisker", x(b.to_Pa - b.low_Pa), mid - 4, x(b.to_Pa - b.low_Pa), mid + 4) +
             drawn_line("whisker", x(b.to_Pa + b.high_Pa), mid - 4, x(b.to_Pa + b.high_Pa), mid + 4);
      end = b.to_Pa + b.high_Pa;
    }
    const double amount = b.kind == Bar::Kind::element ? b.to_Pa - b.from_Pa : b.to_Pa;
    return out + drawn_words(b.kind == Bar::Kind::total ? "halo b" : "halo", x(end) + 5, top + height - 3,
                             figures_.number(amount, Unit::pascal, b.kind == Bar::Kind::element ? 1 : 0));
  }

  const Figures& figures_;
  double x0_, scale_, width_, greatest_Pa_;
};

double greatest(const std::vector<Panel>& panels) {
  double most = 1;
  for (const Panel& p : panels) {
    for (const Bar& b : p.bars) most = std::max({most, b.from_Pa, b.to_Pa + b.high_Pa});
    if (p.limit_Pa) most = std::max(most, *p.limit_Pa);
  }
  return 1.02 * most;
}

std::string shortened(const std::string& name) {
  constexpr std::size_t kMost = 33;
  if (name.size() <= kMost) return name;
  std::size_t cut = kMost - 1;
  while (cut > 0 && (static_cast<unsigned char>(name[cut]) & 0xC0) == 0x80) --cut;  // never inside a code point
  return name.substr(0, cut) + "\u2026";
}

}  // namespace

Markup restriction_chart(const Page& page, const checks::Evaluation::DuctResult& result) {
  const checks::DuctMeasures& m = result.measures;
  std::vector<Panel> panels;
  const auto& meaning = page.installation.sheet.restriction;
  const bool on_gauges = meaning && meaning->kind == flow::PressureKind::static_;
  if (const auto* r = std::get_if<flow::Restriction>(&m.clean)) {
    panels.push_back(panel_of("Clean filter", *r, m.gauge_clean, limit_of(result, "in.loss_clean"), on_gauges));
  }
  if (const auto* r = std::get_if<flow::Restriction>(&m.dirty)) {
    panels.push_back(
        panel_of("Filter due for change", *r, m.gauge_dirty, limit_of(result, "in.loss_dirty"), on_gauges));
  }
  if (panels.empty()) return {};
  const std::size_t rows = std::max_element(panels.begin(), panels.end(), [](const Panel& a, const Panel& b) {
                             return a.bars.size() < b.bars.size();
                           })->bars.size();
  const double height = kTop + kRow * static_cast<double>(rows) + 22;
  const auto count = static_cast<double>(panels.size());
  const double width = (kWidth - kNames - kGap * (count - 1)) / count;
  Markup out = "<svg viewBox=\"0 0 1000 "_h + coordinate(height) +
               "\" role=\"img\" aria-label=\"Loss of each element along the flow, adding up to the total\">"_h;
  for (std::size_t i = 0; i < panels.front().bars.size(); ++i) {
    const Bar& b = panels.front().bars[i];
    out += "<g><title>"_h + text(b.name) + "</title>"_h +
           drawn_words(b.kind == Bar::Kind::total ? "b e" : "e", kNames - 9, kTop + kRow * static_cast<double>(i) + 14,
                       shortened(b.name)) +
           "</g>"_h;
  }
  const double most = greatest(panels);
  for (std::size_t i = 0; i < panels.size(); ++i) {
    out += Drawing(page.figures, kNames + static_cast<double>(i) * (width + kGap), width, most).panel(panels[i]);
  }
  return out + "</svg>\n"_h;
}

}  // namespace baywright::report
