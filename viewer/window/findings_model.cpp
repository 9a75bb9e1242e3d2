#include "viewer/window/findings_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <QColor>
#include <QFont>
#include <QGuiApplication>
#include <QPalette>

#include "geometry/base/expects.hpp"
#include "geometry/base/unit_step.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/window/words.hpp"

namespace baywright::viewer {

namespace {

const measure::Measured* measured_of(const checks::Finding& finding) {
  return std::get_if<measure::Measured>(&finding.outcome);
}

/// False for a clearance beyond the range that was looked at: only its lower end is known.
bool bounded(const measure::Measured& m) { return std::isfinite(m.hi); }

double spread(const measure::Measured& m) {
  return std::max(m.band.low(), m.band.high()) + (bounded(m) ? (m.hi - m.lo) / 2 : 0);
}

/// How many is told from to, as reports do.
bool counted_from_to(const measure::Measured& m) { return m.unit == Unit::count && bounded(m) && spread(m) > 0; }

bool on_dark() { return QGuiApplication::palette().color(QPalette::Base).lightness() < 128; }

QColor color_of(checks::Verdict verdict) {
  const Rgb c = text_color(verdict, on_dark());
  return QColor::fromRgbF(static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2]));
}

}  // namespace

void FindingsModel::set(std::vector<checks::Finding> findings, const DisplayUnits& units) {
  beginResetModel();
  findings_ = std::move(findings);
  units_ = units;
  endResetModel();
}

const checks::Finding& FindingsModel::at(int row) const {
  EXPECTS(row >= 0 && static_cast<std::size_t>(row) < findings_.size());
  return findings_[static_cast<std::size_t>(row)];
}

int FindingsModel::rowCount(const QModelIndex& parent) const {
  return parent.isValid() ? 0 : static_cast<int>(findings_.size());
}

int FindingsModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : column_count; }

QString FindingsModel::text(const checks::Finding& finding, int column) const {
  const auto* m = measured_of(finding);
  switch (column) {
    case verdict:
      return words(mark(finding.verdict)) + QStringLiteral(" ") + words(checks::name(finding.verdict));
    case title:
      return words(finding.title);
    case subject:
      return words(finding.subject);
    case measured:
      if (m == nullptr) return QStringLiteral("–");
      if (counted_from_to(*m))
        return tr("%1 to %2")
            .arg(words(format_number(m->lowest(), m->unit, units_)), words(format(m->highest(), m->unit, units_)));
      return bounded(*m)               ? words(format(m->hi, m->unit, units_))
             : m->unit == Unit::pascal ? tr("chokes")
                                       : QStringLiteral("> ") + words(format(m->lo, m->unit, units_));
    case plus_minus:
      return m != nullptr && spread(*m) > 0 && !counted_from_to(*m)
                 ? QStringLiteral("± ") + words(format_number(spread(*m), step_of(m->unit), units_))
                 : QString();
    case limit: {
      if (!finding.limit) return {};
      if (finding.limit->unit == Unit::none) return words(format(finding.limit->value, Unit::none, units_));
      return words(checks::sign(finding.limit->comparison)) + QLatin1Char(' ') +
             words(format(finding.limit->value, finding.limit->unit, units_));
    }
    case margin: {
      const auto left = checks::margin(finding);
      return left && m != nullptr && m->unit != Unit::none ? words(format_number(*left, step_of(m->unit), units_))
                                                           : QString();
    }
    case severity:
      return words(checks::name(finding.severity));
    case check:
      return words(finding.check);
    default:
      return {};
  }
}

QVariant FindingsModel::number(const checks::Finding& finding, int column, int row) const {
  const auto* m = measured_of(finding);
  constexpr double kLast = std::numeric_limits<double>::max();
  switch (column) {
    case verdict:
      return row;  // the order they came in: worst first
    case measured:
      return m == nullptr ? kLast : bounded(*m) ? m->hi : m->lo;
    case plus_minus:
      return m != nullptr ? spread(*m) : kLast;
    case limit:
      return finding.limit ? finding.limit->value : kLast;
    case margin:
      return checks::margin(finding).value_or(kLast);
    case severity:
      return static_cast<int>(finding.severity);
    default:
      return text(finding, column);
  }
}

QVariant FindingsModel::data(const QModelIndex& index, int role) const {
  if (!index.isValid()) return {};
  const auto& finding = at(index.row());
  const int column = index.column();
  switch (role) {
    case Qt::DisplayRole:
      return text(finding, column);
    case kSortRole:
      return number(finding, column, index.row());
    case kVerdictRole:
      return static_cast<int>(finding.verdict);
    case Qt::ToolTipRole: {
      QString tip = text(finding, column);
      const auto* missing = std::get_if<measure::NotAssessed>(&finding.outcome);
      const QString more = missing != nullptr ? words(missing->reason) : words(finding.hint);
      if (!more.isEmpty()) tip += (tip.isEmpty() ? QString() : QStringLiteral("\n\n")) + more;
      return tip;
    }
    case Qt::TextAlignmentRole:
      if (column >= measured && column <= margin) return static_cast<int>(Qt::AlignRight | Qt::AlignVCenter);
      return static_cast<int>(Qt::AlignLeft | Qt::AlignVCenter);
    case Qt::ForegroundRole:
      if (column == verdict) return color_of(finding.verdict);
      return {};
    case Qt::FontRole:
      if (column == verdict && finding.verdict != checks::Verdict::met) {
        QFont font;
        font.setBold(true);
        return font;
      }
      return {};
    default:
      return {};
  }
}

QVariant FindingsModel::headerData(int section, Qt::Orientation orientation, int role) const {
  if (orientation != Qt::Horizontal || role != Qt::DisplayRole)
    return QAbstractTableModel::headerData(section, orientation, role);
  switch (section) {
    case verdict:
      return tr("Verdict");
    case title:
      return tr("Requirement");
    case subject:
      return tr("Where");
    case measured:
      return tr("Measured");
    case plus_minus:
      return tr("±");
    case limit:
      return tr("Limit");
    case margin:
      return tr("Margin");
    case severity:
      return tr("Weight");
    case check:
      return tr("Check");
    default:
      return {};
  }
}

FindingsFilter::FindingsFilter(QObject* parent) : QSortFilterProxyModel(parent) {
  setSortRole(FindingsModel::kSortRole);
}

void FindingsFilter::set_words(const QString& words) {
  words_ = words.split(QLatin1Char(' '), Qt::SkipEmptyParts);
  invalidateFilter();
}

void FindingsFilter::set_hidden(checks::Verdict verdict, bool hidden) {
  hidden_.erase(std::remove(hidden_.begin(), hidden_.end(), verdict), hidden_.end());
  if (hidden) hidden_.push_back(verdict);
  invalidateFilter();
}

bool FindingsFilter::filterAcceptsRow(int row, const QModelIndex& parent) const {
  const auto cell = [&](int column) { return sourceModel()->index(row, column, parent); };
  const auto verdict = static_cast<checks::Verdict>(cell(0).data(FindingsModel::kVerdictRole).toInt());
  if (std::find(hidden_.begin(), hidden_.end(), verdict) != hidden_.end()) return false;
  QString all;
  for (int c = 0; c < sourceModel()->columnCount(parent); ++c) all += cell(c).data().toString() + QLatin1Char('\n');
  return std::all_of(words_.begin(), words_.end(),
                     [&](const QString& word) { return all.contains(word, Qt::CaseInsensitive); });
}

bool FindingsFilter::lessThan(const QModelIndex& left, const QModelIndex& right) const {
  const QVariant a = left.data(sortRole()), b = right.data(sortRole());
  if (a.type() == QVariant::String) return QString::localeAwareCompare(a.toString(), b.toString()) < 0;
  return a.toDouble() < b.toDouble();
}

QString as_tsv(const QAbstractItemModel& model, const QModelIndexList& selected) {
  std::set<int> rows;
  for (const auto& index : selected) rows.insert(index.row());
  QString text;
  const auto line = [&](const auto& cell) {
    QStringList cells;
    for (int c = 0; c < model.columnCount(); ++c)
      cells << cell(c).toString().replace(QLatin1Char('\t'), QLatin1Char(' '));
    text += cells.join(QLatin1Char('\t')) + QLatin1Char('\n');
  };
  line([&](int c) { return model.headerData(c, Qt::Horizontal); });
  for (const int row : rows) line([&](int c) { return model.index(row, c).data(); });
  return text;
}

}  // namespace baywright::viewer
