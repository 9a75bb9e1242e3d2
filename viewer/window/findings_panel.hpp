#pragma once

#include <QWidget>

#include "checks/evaluation.hpp"
#include "viewer/window/findings_model.hpp"

class QLabel;
class QLineEdit;
class QTableView;
class QTextBrowser;

namespace baywright::viewer {

/// The list of findings with its filter, and everything known about the chosen one below it.
class FindingsPanel : public QWidget {
  Q_OBJECT

 public:
  explicit FindingsPanel(QWidget* parent = nullptr);
  void show_findings(const checks::Evaluation& evaluation, const DisplayUnits& units);
  void clear();
  /// Chooses the finding with this number in the worst-first order, 0-based; false when there is none.
  bool choose(int number);
  const FindingsModel& model() const { return *model_; }

 Q_SIGNALS:
  /// Number in the worst-first order.
  void chosen(int number);

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;

 private:
  void show_details(const checks::Finding& finding);
  void copy() const;

  FindingsModel* model_;
  FindingsFilter* filter_;
  QLabel* summary_;
  QLineEdit* words_;
  QTableView* table_;
  QTextBrowser* details_;
  DisplayUnits units_;
};

}  // namespace baywright::viewer
