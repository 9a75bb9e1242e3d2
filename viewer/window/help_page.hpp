#pragma once

#include <QDialog>

namespace baywright::viewer {

/// Mouse and keys on one page. Not modal: it may stay open beside the work.
class HelpPage : public QDialog {
  Q_OBJECT

 public:
  explicit HelpPage(QWidget* parent = nullptr);
};

}  // namespace baywright::viewer
