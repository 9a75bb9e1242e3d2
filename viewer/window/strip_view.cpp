#include "viewer/window/strip_view.hpp"

#include <algorithm>
#include <cmath>

#include <QMouseEvent>
#include <QPainter>

#include "viewer/scene/palette.hpp"
#include "viewer/scene/round_steps.hpp"
#include "viewer/window/words.hpp"

namespace baywright::viewer {

namespace {

// Layout of the strip, pixels.
constexpr double kLeft = 128, kRight = 16;
constexpr double kPiecesTop = 8, kLaneHeight = 24;
constexpr double kBendsTop = kPiecesTop + kLaneHeight + 4;
constexpr double kClearTop = kBendsTop + kLaneHeight + 8;
constexpr double kAxisHeight = 24;
/// Lane of the pressures: this share of what the others leave, where the strip is tall enough for both.
constexpr double kPressureShare = 0.38, kRoomForPressure = 110, kPressureGap = 6;
/// Clearances above this are drawn at the top of the lane, mm.
constexpr double kShown_mm = 70;
constexpr double kDeep_mm = -12;
/// Least distance of the lines in the clearance lane, mm.
constexpr double kRung_mm = 20;
/// Least distance of the numbers along the axis, pixels.
constexpr double kTick_px = 60;

QColor qt(const Rgb& c) {
  return QColor::fromRgbF(static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2]));
}

}  // namespace

StripView::StripView(QWidget* parent) : QWidget(parent) {
  setMouseTracking(true);
  setAccessibleName(tr("Strip: the duct unrolled along its stations"));
  setAutoFillBackground(true);
  setBackgroundRole(QPalette::Base);
}

void StripView::clear() {
  installation_.reset();
  evaluation_.reset();
  duct_ = -1;
  bars_.clear();
  profile_.clear();
  pressure_.clear();
  outdated_.clear();
  station_mm_.reset();
  finding_ = -1;
  update();
}

void StripView::show_duct(const SharedInstallation& installation, const SharedEvaluation& evaluation, int duct) {
  installation_ = installation;
  evaluation_ = evaluation;
  duct_ = installation && static_cast<std::size_t>(duct) < installation->ducts.size() ? duct : -1;
  collect_bars();
  profile_.clear();
  if (duct_ >= 0 && evaluation_)
    for (const auto& result : evaluation_->ducts)
      if (result.duct == installation_->ducts[static_cast<std::size_t>(duct_)].spec.id)
        profile_ = checks::profile_steps(result.measures);
  collect_pressure();
  setToolTip({});
  update();
}

void StripView::set_outdated(const QString& why) {
  outdated_ = why;
  update();
}

void StripView::mark_station(std::optional<double> station_mm) {
  station_mm_ = station_mm;
  update();
}

void StripView::mark_finding(int number) {
  finding_ = number;
  update();
}

void StripView::collect_bars() {
  bars_.clear();
  if (duct_ < 0 || !evaluation_) return;
  const auto& id = installation_->ducts[static_cast<std::size_t>(duct_)].spec.id;
  for (std::size_t i = 0; i < evaluation_->findings.size(); ++i) {
    const auto& f = evaluation_->findings[i];
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    if (m == nullptr || f.duct != id || !m->witness || !m->station_mm || !f.limit || f.limit->unit != Unit::mm)
      continue;
    bars_.push_back(
        {static_cast<int>(i), *m->station_mm, m->lo, m->hi, m->lowest(), m->highest(), f.limit->value, f.verdict, 0});
  }
  std::stable_sort(bars_.begin(), bars_.end(), [](const Bar& a, const Bar& b) { return a.station_mm < b.station_mm; });
}

void StripView::collect_pressure() {
  pressure_.clear();
  if (duct_ < 0 || !evaluation_) return;
  const auto& duct = installation_->ducts[static_cast<std::size_t>(duct_)];
  const flow::FlowInputs& air = installation_->job.flow;
  if (duct.spec.service != duct::Service::intake || !flow::rated_flow(air) || !air.ambient) return;
  for (const auto& result : evaluation_->ducts) {
    if (result.duct != duct.spec.id) continue;
    const auto* clean = std::get_if<flow::Restriction>(&result.measures.clean);
    const auto* shown = clean != nullptr ? clean : std::get_if<flow::Restriction>(&result.measures.dirty);
    if (shown == nullptr) return;
    pressure_is_clean_ = clean != nullptr;
    pressure_ = flow::pressure_line(duct, *shown, air);
    if (pressure_.size() < 2) pressure_.clear();
  }
}

double StripView::pressure_height() const {
  const double room = height() - kAxisHeight - kClearTop;
  return pressure_.empty() || room < kRoomForPressure ? 0 : kPressureShare * room;
}

double StripView::y_of_pressure(double below_outside_Pa) const {
  double least = pressure_.front().total_loss.si(), most = least;
  for (const flow::PressurePoint& p : pressure_) {
    least = std::min(least, p.total_loss.si());
    most = std::max(most, p.reading.si());
  }
  const double bottom = height() - kAxisHeight - kPressureGap, top = bottom - pressure_height() + 2 * kPressureGap;
  return top + (bottom - top) * (below_outside_Pa - least) / std::max(1.0, most - least);
}

QString StripView::tick_text(double mm) const { return words(scale_number(mm, installation_->job.units)); }

double StripView::x_of(double station_mm) const {
  const double length = installation_->ducts[static_cast<std::size_t>(duct_)].layout.length_mm;
  return kLeft + (width() - kLeft - kRight) * station_mm / std::max(1.0, length);
}

double StripView::station_of(double x_px) const {
  const double length = installation_->ducts[static_cast<std::size_t>(duct_)].layout.length_mm;
  return std::clamp((x_px - kLeft) / std::max(1.0, width() - kLeft - kRight), 0.0, 1.0) * length;
}

double StripView::y_of(double clearance_mm) const {
  const double top = kClearTop, bottom = height() - kAxisHeight - pressure_height();
  const double share = (std::clamp(clearance_mm, kDeep_mm, kShown_mm) - kDeep_mm) / (kShown_mm - kDeep_mm);
  return bottom - share * (bottom - top);
}

void StripView::spread_bars() {
  constexpr double kWide = 11;
  // In a narrow strip many bars stand closer together rather than leave the axis.
  const double room = std::max(0.0, width() - kLeft - kRight);
  const double apart = bars_.size() > 1 ? std::min(kWide, room / static_cast<double>(bars_.size() - 1)) : kWide;
  double last = -1e9;
  for (auto& bar : bars_) {
    bar.x_px = std::max(x_of(bar.station_mm), last + apart);
    last = bar.x_px;
  }
  double next = width() - kRight + apart;
  for (auto bar = bars_.rbegin(); bar != bars_.rend(); ++bar) {
    bar->x_px = std::min(bar->x_px, next - apart);
    next = bar->x_px;
  }
}

void StripView::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  if (duct_ < 0) {
    painter.setPen(palette().color(QPalette::Disabled, QPalette::Text));
    painter.drawText(rect(), Qt::AlignCenter, tr("The duct appears here, unrolled along its stations."));
    return;
  }
  spread_bars();
  paint_axis(painter);
  paint_pieces(painter);
  paint_bends(painter);
  paint_profile(painter);
  paint_clearance(painter);
  paint_pressure(painter);
  paint_pointer(painter);
  paint_outdated(painter);
}

void StripView::paint_axis(QPainter& painter) const {
  const double bottom = height() - kAxisHeight;
  const double length = installation_->ducts[static_cast<std::size_t>(duct_)].layout.length_mm;
  const QColor text = palette().color(QPalette::Text);
  QColor faint = text;
  faint.setAlphaF(0.14);
  painter.setPen(text);
  const auto lane = [&](double top, double tall, const QString& name) {
    painter.drawText(QRectF(6, top, kLeft - 14, tall), Qt::AlignLeft | Qt::AlignVCenter, name);
  };
  lane(kPiecesTop, kLaneHeight, tr("Pieces"));
  lane(kBendsTop, kLaneHeight, tr("Bends"));
  lane(kClearTop, 18, tr("Clearance"));
  const auto& units = installation_->job.units;
  const double rung_mm = round_step_up_mm(kRung_mm, units);
  for (double mm = 0; mm < kShown_mm; mm += rung_mm) {
    painter.setPen(faint);
    painter.drawLine(QPointF(kLeft, y_of(mm)), QPointF(width() - kRight, y_of(mm)));
    painter.setPen(text);
    painter.drawText(QRectF(kLeft - 46, y_of(mm) - 9, 40, 18), Qt::AlignRight | Qt::AlignVCenter, tick_text(mm));
  }
  painter.setPen(text);
  painter.drawLine(QPointF(kLeft, bottom), QPointF(x_of(length), bottom));
  const double step = round_step_up_mm(kTick_px * length / std::max(1.0, x_of(length) - x_of(0)), units);
  for (int i = 0; i * step <= length; ++i) {
    const double s = i * step;
    painter.drawLine(QPointF(x_of(s), bottom), QPointF(x_of(s), bottom + 4));
    const QString label = i == 0 ? words(scale_text(s, units)) : tick_text(s);
    painter.drawText(QRectF(x_of(s) - 40, bottom + 4, 80, kAxisHeight - 4), Qt::AlignHCenter | Qt::AlignVCenter, label);
  }
}

void StripView::paint_pieces(QPainter& painter) const {
  const auto& layout = installation_->ducts[static_cast<std::size_t>(duct_)].layout;
  for (const bool couplers : {false, true}) {
    for (std::size_t i = 0; i < layout.pieces.size(); ++i) {
      const auto& piece = layout.pieces[i];
      if (piece.kind == duct::Piece::Kind::clamps || (piece.kind == duct::Piece::Kind::coupler) != couplers) continue;
      const double inset = couplers ? 0 : 4;
      const QRectF box(x_of(piece.station_from_mm), kPiecesTop + inset,
                       std::min(x_of(piece.station_to_mm), width() - kRight / 2) - x_of(piece.station_from_mm),
                       kLaneHeight - 2 * inset);
      painter.setPen(QPen(palette().color(QPalette::Text), 1));
      painter.setBrush(qt(piece_color(piece, static_cast<int>(i))));
      painter.drawRect(box);
      if (couplers) continue;
      const QString name = QString::fromStdString(piece.name);
      if (painter.fontMetrics().horizontalAdvance(name) + 6 > box.width()) continue;
      painter.setPen(Qt::white);
      painter.drawText(box, Qt::AlignCenter, name);
    }
  }
  for (const auto& fitting : layout.fittings) {
    if (std::holds_alternative<duct::Coupler>(fitting.kind)) continue;
    const double x = x_of(0.5 * (fitting.station_from_mm + fitting.station_to_mm));
    const double y = kPiecesTop + kLaneHeight + 1;
    painter.setPen(QPen(palette().color(QPalette::Text), 1));
    painter.setBrush(qt(kHighlight));
    painter.drawPolygon(QPolygonF({{x, y - 7}, {x - 5, y + 3}, {x + 5, y + 3}}));
  }
}

void StripView::paint_bends(QPainter& painter) const {
  const auto& layout = installation_->ducts[static_cast<std::size_t>(duct_)].layout;
  const QColor text = palette().color(QPalette::Text);
  for (const auto& bend : layout.bends) {
    const QRectF box(x_of(bend.station_from_mm), kBendsTop + 3, x_of(bend.station_to_mm) - x_of(bend.station_from_mm),
                     kLaneHeight - 6);
    QString label = words(format(to_degrees(bend.angle), Unit::degree, installation_->job.units)) +
                    QStringLiteral("  R ") + words(format_number(bend.radius_mm, Unit::mm, installation_->job.units));
    if (painter.fontMetrics().horizontalAdvance(label) + 6 > box.width())
      label = words(format(to_degrees(bend.angle), Unit::degree, installation_->job.units));
    // A frame narrower than its number would cross it out.
    const bool framed = painter.fontMetrics().horizontalAdvance(label) + 6 <= box.width();
    QColor fill = text;
    fill.setAlphaF(0.10);
    painter.setPen(framed ? QPen(text, 1) : QPen(Qt::NoPen));
    painter.setBrush(fill);
    painter.drawRoundedRect(box, 6, 6);
    painter.setPen(text);
    painter.drawText(box.adjusted(-20, 0, 20, 0), Qt::AlignCenter, label);
  }
}

void StripView::paint_profile(QPainter& painter) const {
  constexpr double kBand = 0.20;
  const bool dark = palette().color(QPalette::Base).lightness() < 128;
  const QColor text = palette().color(QPalette::Text);
  QColor band = qt(kTube);
  band.setAlphaF(dark ? 2 * kBand : kBand);
  const QColor short_of = qt(text_color(checks::Verdict::not_met, dark));
  QPointF room_before, need_before;
  double end = -1;
  for (const auto& step : profile_) {
    const double x1 = x_of(step.from_mm), x2 = x_of(step.to_mm);
    if (std::isfinite(step.moving_mm)) {
      const double top = y_of(step.rest_mm), low = std::max(y_of(step.moving_mm), top + 1);
      painter.fillRect(QRectF(x1, top, x2 - x1, low - top), band);
    }
    if (!step.tightest) continue;
    const bool on = end == step.from_mm;
    const QPointF room(x1, y_of(step.tightest->lo_mm)), need(x1, y_of(step.tightest->need_mm));
    const bool enough = step.tightest->lo_mm >= step.tightest->need_mm;
    painter.setPen(QPen(text, 1, Qt::DashLine));
    if (on && need_before.y() != need.y()) painter.drawLine(need_before, need);
    painter.drawLine(need, QPointF(x2, need.y()));
    painter.setPen(QPen(enough ? text : short_of, enough ? 1.6 : 2.6));
    if (on) painter.drawLine(room_before, room);
    painter.drawLine(room, QPointF(x2, room.y()));
    room_before = QPointF(x2, room.y());
    need_before = QPointF(x2, need.y());
    end = step.to_mm;
  }
}

void StripView::paint_pressure(QPainter& painter) const {
  if (pressure_height() <= 0) return;
  const QColor text = palette().color(QPalette::Text);
  QColor faint = text;
  faint.setAlphaF(0.14);
  const double top = height() - kAxisHeight - pressure_height();
  painter.setPen(faint);
  painter.drawLine(QPointF(kLeft, top), QPointF(width() - kRight, top));
  painter.setPen(text);
  const auto label = [&](double y, const QString& what) {
    painter.drawText(QRectF(6, y - 9, kLeft - 14, 18), Qt::AlignLeft | Qt::AlignVCenter, what);
  };
  const double first = y_of_pressure(pressure_.front().total_loss.si());
  const auto shown = [&](double Pa) { return words(format(Pa, Unit::pascal, installation_->job.units)); };
  // Two labels that would cover one another keep their order.
  const double second = std::max(first + 16, y_of_pressure(pressure_.front().reading.si()));
  label(first, tr("Total  %1").arg(shown(pressure_.front().total_loss.si())));
  label(second, tr("Static  %1").arg(shown(pressure_.front().reading.si())));
  QPolygonF total, gauge;
  for (const flow::PressurePoint& p : pressure_) {
    total << QPointF(x_of(p.station_mm), y_of_pressure(p.total_loss.si()));
    gauge << QPointF(x_of(p.station_mm), y_of_pressure(p.reading.si()));
  }
  painter.setBrush(Qt::NoBrush);
  painter.setPen(QPen(text, 1.4, Qt::DashLine));
  painter.drawPolyline(total);
  painter.setPen(QPen(text, 1.6));
  painter.drawPolyline(gauge);
}

QString StripView::pressure_text(double station_mm) const {
  std::size_t i = 0;
  while (i + 2 < pressure_.size() && pressure_[i + 1].station_mm <= station_mm) ++i;
  const flow::PressurePoint &a = pressure_[i], &b = pressure_[i + 1];
  const double length = b.station_mm - a.station_mm;
  const double t = length > 0 ? std::clamp((station_mm - a.station_mm) / length, 0.0, 1.0) : 1;
  const auto text = [&](Pressure from, Pressure to) {
    return words(format((1 - t) * from.si() + t * to.si(), Unit::pascal, installation_->job.units));
  };
  return tr("below outside, %1 filter: total pressure %2, a gauge here would show %3")
      .arg(pressure_is_clean_ ? tr("clean") : tr("dirty"), text(a.total_loss, b.total_loss),
           text(a.reading, b.reading));
}

void StripView::paint_outdated(QPainter& painter) const {
  if (outdated_.isEmpty()) return;
  QColor veil = palette().color(QPalette::Base);
  veil.setAlphaF(0.72);
  painter.fillRect(rect(), veil);
  painter.setPen(palette().color(QPalette::Text));
  painter.drawText(rect(), Qt::AlignCenter, outdated_);
}

QString StripView::profile_text(double station_mm) const {
  const auto& units = installation_->job.units;
  const auto number = [&](double mm) { return QString::fromStdString(format_number(mm, Unit::mm, units)); };
  const auto length = [&](double mm) { return QString::fromStdString(format(mm, Unit::mm, units)); };
  for (const auto& step : profile_) {
    if (station_mm < step.from_mm || station_mm > step.to_mm) continue;
    QStringList lines;
    if (std::isfinite(step.moving_mm))
      lines << (std::isfinite(step.rest_mm) ? tr("nearest: %1 at rest, at least %2 over the motion")
                                                  .arg(length(step.rest_mm), length(step.moving_mm))
                                            : tr("nearest: at least %1 over the motion").arg(length(step.moving_mm)));
    else
      lines << tr("nothing within the range looked at");
    if (step.tightest) {
      const auto& part = installation_->bay.parts[static_cast<std::size_t>(step.tightest->part)];
      const auto& piece =
          installation_->ducts[static_cast<std::size_t>(duct_)].layout.pieces[static_cast<std::size_t>(step.piece)];
      lines << tr("least room: %1 - %2, %3 to %4 over the motion, needs %5")
                   .arg(QString::fromStdString(piece.name),
                        QString::fromStdString(part.name.empty() ? part.id.value : part.name),
                        number(step.tightest->lo_mm), length(step.tightest->hi_mm), length(step.tightest->need_mm));
    }
    return lines.join(QLatin1Char('\n'));
  }
  return {};
}

void StripView::paint_clearance(QPainter& painter) const {
  const bool dark = palette().color(QPalette::Base).lightness() < 128;
  for (const auto& bar : bars_) {
    const QColor color = qt(text_color(bar.verdict, dark));
    const double x = bar.x_px;
    if (bar.number == finding_) {
      QColor glow = qt(kHighlight);
      glow.setAlphaF(0.35);
      painter.fillRect(QRectF(x - 6, kClearTop, 12, height() - kAxisHeight - kClearTop), glow);
    }
    painter.setPen(QPen(color, 1.4));
    painter.drawLine(QPointF(x, y_of(bar.lowest_mm)), QPointF(x, y_of(bar.highest_mm)));
    painter.setPen(QPen(color, 6, Qt::SolidLine, Qt::FlatCap));
    const double y_hi = y_of(bar.hi_mm), y_lo = std::max(y_of(bar.lo_mm), y_hi + 3);
    painter.drawLine(QPointF(x, y_hi), QPointF(x, y_lo));
    painter.setPen(QPen(palette().color(QPalette::Text), 1.6, Qt::SolidLine));
    painter.drawLine(QPointF(x - 5, y_of(bar.limit_mm)), QPointF(x + 5, y_of(bar.limit_mm)));
    if (bar.verdict == checks::Verdict::met) continue;
    painter.setPen(color);
    painter.drawText(QRectF(x - 10, y_of(bar.highest_mm) - 18, 20, 16), Qt::AlignCenter, words(mark(bar.verdict)));
  }
}

void StripView::paint_pointer(QPainter& painter) const {
  if (!station_mm_) return;
  const double x = x_of(*station_mm_);
  painter.setPen(QPen(palette().color(QPalette::Text), 1, Qt::DashLine));
  painter.drawLine(QPointF(x, 2), QPointF(x, height() - kAxisHeight));
  const QString label = words(format(*station_mm_, Unit::mm, installation_->job.units));
  const double wide = painter.fontMetrics().horizontalAdvance(label) + 10;
  const QRectF box(std::min(x + 4, width() - wide - 2), height() - kAxisHeight - 20, wide, 18);
  painter.fillRect(box, palette().color(QPalette::ToolTipBase));
  painter.setPen(palette().color(QPalette::ToolTipText));
  painter.drawText(box, Qt::AlignCenter, label);
}

int StripView::bar_at(const QPointF& at) const {
  if (at.y() < kClearTop || at.y() > height() - kAxisHeight - pressure_height()) return -1;
  int best = -1;
  double nearest = 6;
  for (const auto& bar : bars_) {
    if (std::abs(bar.x_px - at.x()) >= nearest) continue;
    nearest = std::abs(bar.x_px - at.x());
    best = bar.number;
  }
  return best;
}

void StripView::mouseMoveEvent(QMouseEvent* event) {
  if (duct_ < 0) return;
  const int bar = outdated_.isEmpty() ? bar_at(event->localPos()) : -1;
  if (bar >= 0) {
    const auto& f = evaluation_->findings[static_cast<std::size_t>(bar)];
    const auto& m = std::get<measure::Measured>(f.outcome);
    setToolTip(QString::fromStdString(f.subject) + QStringLiteral("\n") + words(mark(f.verdict)) + QStringLiteral(" ") +
               words(checks::name(f.verdict)) + QStringLiteral(", ") +
               words(format(m.hi, m.unit, installation_->job.units)));
  } else {
    const double station = station_of(event->localPos().x()), y = event->localPos().y();
    const bool on_pressure = pressure_height() > 0 && y > height() - kAxisHeight - pressure_height();
    setToolTip(!outdated_.isEmpty() || y < kClearTop ? QString()
               : on_pressure                         ? pressure_text(station)
                                                     : profile_text(station));
  }
  mark_station(station_of(event->localPos().x()));
  Q_EMIT pointed(duct_, *station_mm_);
}

void StripView::mousePressEvent(QMouseEvent* event) {
  if (duct_ < 0) return;
  if (event->button() != Qt::LeftButton || !outdated_.isEmpty()) return;
  if (const int bar = bar_at(event->localPos()); bar >= 0)
    Q_EMIT finding_chosen(bar);
  else if (event->localPos().x() >= kLeft)
    Q_EMIT station_chosen(duct_, station_of(event->localPos().x()));
}

void StripView::leaveEvent(QEvent*) {
  mark_station(std::nullopt);
  Q_EMIT left();
}

}  // namespace baywright::viewer
