#pragma once

#include <QTimer>
#include <QWidget>

#include <vector>

#include "job/assemble.hpp"

class QComboBox;
class QLabel;
class QSlider;
class QPushButton;

namespace baywright::viewer {

/// Chooses a load case and how far into it everything stands.
class MotionPanel : public QWidget {
  Q_OBJECT

 public:
  explicit MotionPanel(QWidget* parent = nullptr);
  void show_motions(const bay::Bay& bay);
  void clear();
  /// Sets the controls to a pose that came from elsewhere, without a signal.
  void follow(const PosedState& state, const QString& pose_name);
  void rest();
  void toggle_play();

 Q_SIGNALS:
  void posed(const PosedState& state);

 private:
  /// One end of a load case or range, reached along the straight way from rest.
  struct Case {
    BodyIndex body = 0;
    int member = 0;
    std::vector<double> to;
  };
  void publish();

  std::vector<Case> cases_;
  std::size_t bodies_ = 0;
  QComboBox* which_;
  QSlider* share_;
  QLabel* reading_;
  QPushButton* play_;
  QTimer timer_;
  int step_ = 2;
};

}  // namespace baywright::viewer
