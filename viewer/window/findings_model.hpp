#pragma once

#include <QAbstractTableModel>
#include <QSortFilterProxyModel>

#include <vector>

#include "checks/finding.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::viewer {

/// Findings as rows, worst first as they come. Holds a copy; shows values in the job's units.
class FindingsModel : public QAbstractTableModel {
  Q_OBJECT

 public:
  enum Column { verdict, title, subject, measured, plus_minus, limit, margin, severity, check, column_count };
  /// Role for sorting: numbers where the cell shows one (missing values sort last), text elsewhere.
  static constexpr int kSortRole = Qt::UserRole + 1;
  static constexpr int kVerdictRole = Qt::UserRole + 2;

  using QAbstractTableModel::QAbstractTableModel;
  void set(std::vector<checks::Finding> findings, const DisplayUnits& units);
  const checks::Finding& at(int row) const;

  int rowCount(const QModelIndex& parent = {}) const override;
  int columnCount(const QModelIndex& parent = {}) const override;
  QVariant data(const QModelIndex& index, int role) const override;
  QVariant headerData(int section, Qt::Orientation orientation, int role) const override;

 private:
  QString text(const checks::Finding& finding, int column) const;
  QVariant number(const checks::Finding& finding, int column, int row) const;

  std::vector<checks::Finding> findings_;
  DisplayUnits units_;
};

/// Filter by words (all must occur somewhere in the row) and by verdict.
class FindingsFilter : public QSortFilterProxyModel {
  Q_OBJECT

 public:
  explicit FindingsFilter(QObject* parent = nullptr);
  void set_words(const QString& words);
  void set_hidden(checks::Verdict verdict, bool hidden);

 protected:
  bool filterAcceptsRow(int row, const QModelIndex& parent) const override;
  bool lessThan(const QModelIndex& left, const QModelIndex& right) const override;

 private:
  QStringList words_;
  std::vector<checks::Verdict> hidden_;
};

/// Rows of a model as tab-separated text with a heading, what a spreadsheet takes.
QString as_tsv(const QAbstractItemModel& model, const QModelIndexList& selected);

}  // namespace baywright::viewer
