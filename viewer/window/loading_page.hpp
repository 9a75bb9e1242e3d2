#pragma once

#include <QElapsedTimer>
#include <QTimer>
#include <QWidget>

class QLabel;
class QProgressBar;

namespace baywright::viewer {

/// What is shown while a job is being read: which, what is done at the moment, how far, since when; and a way out.
class LoadingPage : public QWidget {
  Q_OBJECT

 public:
  explicit LoadingPage(QWidget* parent = nullptr);
  void start(const QString& folder);
  void stop();
  void show_step(const QString& step, double fraction);  ///< fraction 0..1, negative when unknown

 Q_SIGNALS:
  void cancel_wanted();

 private:
  void show_time();

  QLabel* title_;
  QLabel* folder_;
  QLabel* step_;
  QLabel* time_;
  QProgressBar* bar_;
  QElapsedTimer since_;
  QTimer tick_;
};

}  // namespace baywright::viewer
