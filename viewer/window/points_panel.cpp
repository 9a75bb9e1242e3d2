#include "viewer/window/points_panel.hpp"

#include <cmath>

#include <QHeaderView>
#include <QLabel>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>

#include "geometry/base/unit.hpp"
#include "job/unit_text.hpp"
#include "session/point_reading.hpp"

namespace baywright::viewer {

namespace {

using Kind = session::PointFreedom::Kind;

/// A line that leaves a coordinate as it is: it cannot be typed.
constexpr double kStill = 1e-3;

QString text_of(double mm, const DisplayUnits& units) {
  return QString::fromStdString(format_number(mm, Unit::mm, units));
}

QString tip_of(const duct::Duct& duct, const duct::PointId& point, const session::PointFreedom& freedom,
               const DisplayUnits& units) {
  const auto at = session::reading_of(duct, point);
  QStringList lines;
  const auto length = [&](double mm) { return QString::fromStdString(format(mm, Unit::mm, units)); };
  if (at.leg_before_mm) lines << PointsPanel::tr("leg before: %1").arg(length(*at.leg_before_mm));
  if (at.leg_after_mm) lines << PointsPanel::tr("leg after: %1").arg(length(*at.leg_after_mm));
  if (at.bend)
    lines << PointsPanel::tr("bend: %1").arg(QString::fromStdString(format(to_degrees(*at.bend), Unit::degree, units)));
  if (!freedom.why.empty()) lines << QString::fromStdString(freedom.why);
  return lines.join(QLatin1Char('\n'));
}

}  // namespace

PointsPanel::PointsPanel(QWidget* parent) : QWidget(parent), table_(new QTableWidget(this)), note_(new QLabel(this)) {
  table_->setColumnCount(columns);
  table_->setHorizontalHeaderLabels(
      {tr("Point"), QStringLiteral("x"), QStringLiteral("y"), QStringLiteral("z"), tr("R")});
  table_->setAccessibleName(tr("Intersection points"));
  table_->verticalHeader()->hide();
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
  table_->horizontalHeader()->setMinimumSectionSize(36);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed |
                          QAbstractItemView::AnyKeyPressed);
  table_->setTabKeyNavigation(true);
  table_->setWordWrap(false);
  table_->verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
  table_->verticalHeader()->setDefaultSectionSize(table_->fontMetrics().height() + 7);
  note_->setWordWrap(true);
  note_->hide();
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addWidget(note_);
  layout->addWidget(table_);
  connect(table_, &QTableWidget::cellChanged, this, &PointsPanel::typed);
  connect(table_, &QTableWidget::currentCellChanged, this, [this](int row) {
    if (row >= 0 && static_cast<std::size_t>(row) < rows_.size())
      Q_EMIT point_chosen(QString::fromStdString(rows_[static_cast<std::size_t>(row)].point.id.value));
  });
}

void PointsPanel::clear() {
  const QSignalBlocker quiet(table_);
  rows_.clear();
  table_->setRowCount(0);
}

void PointsPanel::show_duct(const duct::Duct& duct, const DisplayUnits& units) {
  const QSignalBlocker quiet(table_);
  units_ = units;
  const QString unit = QString::fromUtf8(symbol(Unit::mm, units).data());
  for (const int column : {x, y, z})
    table_->horizontalHeaderItem(column)->setToolTip(tr("Vehicle frame, %1").arg(unit));
  table_->horizontalHeaderItem(radius)->setToolTip(tr("Bend radius of the centerline, %1").arg(unit));
  const auto& points = duct.spec.route.points;
  rows_.clear();
  for (std::size_t i = 0; i < points.size(); ++i) {
    auto freedom = session::freedom_of(duct.spec, points[i].id);
    const QString tip = tip_of(duct, points[i].id, freedom, units);
    rows_.push_back({points[i], std::move(freedom), i > 0 && i + 1 < points.size(), tip});
  }
  table_->setRowCount(static_cast<int>(rows_.size()));
  for (int row = 0; row < static_cast<int>(rows_.size()); ++row) fill(row);
}

bool PointsPanel::editable(const Row& row, int column) const {
  if (locked_ || column == name) return false;
  if (column == radius) return row.inner;
  return row.freedom.kind == Kind::free ||
         (row.freedom.kind == Kind::line && std::abs(row.freedom.axis[column - x]) > kStill);
}

void PointsPanel::fill(int row) {
  const Row& one = rows_[static_cast<std::size_t>(row)];
  for (int column = 0; column < columns; ++column) {
    QString text = QString::fromStdString(one.point.id.value);
    if (column >= x && column <= z) text = text_of(one.point.p_mm[column - x], units_);
    if (column == radius) text = one.inner ? text_of(one.point.bend_radius_mm, units_) : QString();
    auto* item = table_->item(row, column);
    if (item == nullptr) {
      item = new QTableWidgetItem;
      table_->setItem(row, column, item);
    }
    item->setText(text);
    item->setToolTip(one.tip);
    item->setTextAlignment(column == name ? Qt::AlignLeft | Qt::AlignVCenter : Qt::AlignRight | Qt::AlignVCenter);
    const bool open = editable(one, column);
    item->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable | (open ? Qt::ItemIsEditable : Qt::NoItemFlags));
    // What cannot be typed looks like a label.
    item->setForeground(
        palette().brush(open || column == name ? QPalette::Active : QPalette::Disabled, QPalette::Text));
  }
}

std::optional<double> PointsPanel::length_of(const QString& text) const {
  bool plain = false;
  const double number = text.trimmed().toDouble(&plain);
  if (plain)
    return std::isfinite(number)
               ? std::optional(number * (units_.length == LengthUnit::inch ? kMillimetresPerInch : 1.0))
               : std::nullopt;
  return job::parse_quantity(text.trimmed().toStdString(), job::Dimension::length);
}

void PointsPanel::typed(int row, int column) {
  const Row one = rows_[static_cast<std::size_t>(row)];
  const QString text = table_->item(row, column)->text();
  const auto value_mm = length_of(text);
  {
    const QSignalBlocker quiet(table_);
    fill(row);  // as the duct has it, until it has the new value
  }
  const QString id = QString::fromStdString(one.point.id.value);
  if (!value_mm) {
    Q_EMIT not_understood(tr("\"%1\" is no length; type a number, or one with its unit, as 3 1/2 in").arg(text));
    return;
  }
  // What is shown is rounded: a cell that was opened and closed changes nothing.
  const double before_mm = column == radius ? one.point.bend_radius_mm : one.point.p_mm[column - x];
  if (text.trimmed() == text_of(before_mm, units_)) return;
  if (column == radius) {
    Q_EMIT radius_set(id, *value_mm);
    return;
  }
  Vec3 to = one.point.p_mm;
  if (one.freedom.kind == Kind::line) to += one.freedom.axis * ((*value_mm - before_mm) / one.freedom.axis[column - x]);
  to[column - x] = *value_mm;
  Q_EMIT point_moved(id, to);
}

void PointsPanel::show_place(const duct::PointId& point, const std::optional<Vec3>& p_mm) {
  const QSignalBlocker quiet(table_);
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (rows_[i].point.id != point) continue;
    for (const int column : {x, y, z})
      table_->item(static_cast<int>(i), column)
          ->setText(text_of(p_mm.value_or(rows_[i].point.p_mm)[column - x], units_));
  }
}

void PointsPanel::choose(const duct::PointId& point) {
  const QSignalBlocker quiet(table_);
  for (std::size_t i = 0; i < rows_.size(); ++i)
    if (rows_[i].point.id == point) table_->setCurrentCell(static_cast<int>(i), name);
}

void PointsPanel::set_locked(const QString& why) {
  note_->setText(why);
  note_->setVisible(!why.isEmpty());
  if (locked_ == !why.isEmpty()) return;
  locked_ = !why.isEmpty();
  const QSignalBlocker quiet(table_);
  for (int row = 0; row < static_cast<int>(rows_.size()); ++row) fill(row);
}

}  // namespace baywright::viewer
