#pragma once

#include <QFrame>

class QLabel;
class QPlainTextEdit;

namespace baywright::viewer {

/// Messages above the work, never in front of it: a headline and every line behind it, to be copied or closed.
class MessageBar : public QFrame {
  Q_OBJECT

 public:
  explicit MessageBar(QWidget* parent = nullptr);
  void say(const QString& headline, const QStringList& lines);

 protected:
  void resizeEvent(QResizeEvent* event) override;

 private:
  void fit_lines();  ///< as high as its text needs, up to a limit

  QLabel* headline_;
  QPlainTextEdit* lines_;
};

}  // namespace baywright::viewer
