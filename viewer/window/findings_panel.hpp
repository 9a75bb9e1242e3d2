#pragma once

#include <QWidget>

#include <functional>

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
  bool choose_quietly(int number);  ///< the same without a signal
  /// The next finding down the list as it is sorted and filtered, or up; the first when none is chosen.
  void step(int rows);
  void let_go();  ///< nothing is chosen any more; no signal
  const FindingsModel& model() const { return *model_; }

 Q_SIGNALS:
  /// Number in the worst-first order.
  void chosen(int number);

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  void show_details(const checks::Finding& finding);
  void copy() const;
  void share_columns();
  /// Changes the filter; the chosen finding stays the chosen one, shown or not.
  void refilter(const std::function<void()>& change);

  FindingsModel* model_;
  FindingsFilter* filter_;
  QLabel* summary_;
  QLineEdit* words_;
  QTableView* table_;
  QTextBrowser* details_;
  DisplayUnits units_;
  int chosen_ = -1;         ///< number in the worst-first order; -1: none
  bool filtering_ = false;  ///< rows come and go; nobody chose anything
};

}  // namespace baywright::viewer
