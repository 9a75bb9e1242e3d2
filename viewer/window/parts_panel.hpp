#pragma once

#include <QWidget>

#include "job/assemble.hpp"

class QTreeWidget;
class QTreeWidgetItem;

namespace baywright::viewer {

/// Parts by body and the ducts, each with a check box for showing it.
class PartsPanel : public QWidget {
  Q_OBJECT

 public:
  explicit PartsPanel(QWidget* parent = nullptr);
  void show_parts(const job::Installation& installation);
  void clear();
  void select_part(int part);                 ///< marks the row without a signal
  void set_part_shown(int part, bool shown);  ///< with the signal, when it changes

 Q_SIGNALS:
  void part_shown(int part, bool shown);
  void duct_shown(int duct, bool shown);
  void part_chosen(int part);

 protected:
  void resizeEvent(QResizeEvent* event) override;

 private:
  /// The class has a column where there is room beside the names; else their tool tips have it.
  void fit_columns();

  QTreeWidget* tree_;
  std::vector<QTreeWidgetItem*> items_;
};

}  // namespace baywright::viewer
