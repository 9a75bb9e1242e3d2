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
  /// The bay must outlive the next call of show_motions or clear.
  void show_motions(const bay::Bay& bay);
  void clear();
  /// Sets the controls to a pose that came from elsewhere, without a signal.
  void follow(const PosedState& state, const QString& pose_name);
  void rest();
  void toggle_play();
  void step(int percent);  ///< on or back through the load case
  /// Whether there is a finding's pose to go back to, and whether it is the one shown.
  void offer_way_back(bool possible);

 Q_SIGNALS:
  void way_back_wanted();
  void posed(const PosedState& state);

 private:
  /// One end of a load case or range, reached along the straight way from rest.
  struct Case {
    BodyIndex body = 0;
    int member = 0;
    std::vector<double> to;
  };
  void publish();
  void say(const QString& pose);

  const bay::Bay* bay_ = nullptr;
  std::vector<Case> cases_;
  std::size_t bodies_ = 0;
  QComboBox* which_;
  QSlider* share_;
  QLabel* percent_;
  QLabel* reading_;
  QPushButton* play_;
  QPushButton* back_;
  QTimer timer_;
  int step_ = 2;
};

}  // namespace baywright::viewer
