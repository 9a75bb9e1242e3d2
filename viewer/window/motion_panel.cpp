#include "viewer/window/motion_panel.hpp"

#include <cmath>

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QSlider>
#include <QVBoxLayout>

#include "measure/clearance_measure.hpp"

namespace baywright::viewer {

MotionPanel::MotionPanel(QWidget* parent)
    : QWidget(parent),
      which_(new QComboBox(this)),
      share_(new QSlider(Qt::Horizontal, this)),
      percent_(new QLabel(this)),
      reading_(new QLabel(this)),
      play_(new QPushButton(tr("Play"), this)),
      back_(new QPushButton(tr("Finding's pose"), this)) {
  share_->setRange(0, 100);
  share_->setPageStep(10);
  share_->setTickPosition(QSlider::TicksBelow);
  share_->setTickInterval(25);
  share_->setAccessibleName(tr("Share of the load case, percent"));
  which_->setAccessibleName(tr("Load case"));
  // A long name must not make the panel wide; the list it opens shows it whole.
  which_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
  which_->setMinimumContentsLength(14);
  percent_->setMinimumWidth(percent_->fontMetrics().horizontalAdvance(QStringLiteral("100 %")));
  percent_->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
  reading_->setWordWrap(true);
  // A wrapped text asks for less than it needs: room for the poses of two bodies.
  constexpr int kPoseLines = 3;
  reading_->setMinimumHeight(kPoseLines * reading_->fontMetrics().lineSpacing());
  reading_->setAlignment(Qt::AlignLeft | Qt::AlignTop);
  reading_->setTextInteractionFlags(Qt::TextSelectableByMouse);
  reading_->setAccessibleName(tr("Pose shown"));
  back_->setToolTip(tr("Back to the pose at which the chosen finding was measured (W)"));
  play_->setCheckable(true);
  play_->setToolTip(tr("Move to and fro through the load case (Space)"));
  auto* at_rest = new QPushButton(tr("Rest"), this);
  at_rest->setToolTip(tr("Put everything back to rest (R)"));
  auto* buttons = new QHBoxLayout;
  buttons->addWidget(at_rest);
  buttons->addWidget(play_);
  buttons->addWidget(back_);
  buttons->addStretch(1);
  auto* slide = new QHBoxLayout;
  slide->addWidget(share_, 1);
  slide->addWidget(percent_);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addWidget(which_);
  layout->addLayout(slide);
  layout->addLayout(buttons);
  layout->addWidget(reading_);
  layout->addStretch(1);
  timer_.setInterval(60);
  connect(which_, qOverload<int>(&QComboBox::currentIndexChanged), this, [this] { publish(); });
  connect(share_, &QSlider::valueChanged, this, [this] { publish(); });
  connect(at_rest, &QPushButton::clicked, this, &MotionPanel::rest);
  connect(back_, &QPushButton::clicked, this, &MotionPanel::way_back_wanted);
  connect(play_, &QPushButton::toggled, this, [this](bool on) {
    play_->setText(on ? tr("Stop") : tr("Play"));
    on ? timer_.start() : timer_.stop();
  });
  connect(&timer_, &QTimer::timeout, this, [this] {
    if (share_->value() + step_ > 100 || share_->value() + step_ < 0) step_ = -step_;
    share_->setValue(share_->value() + step_);
  });
  clear();
}

void MotionPanel::clear() {
  const QSignalBlocker quiet_which(which_), quiet_share(share_);
  play_->setChecked(false);
  bay_ = nullptr;
  cases_.clear();
  which_->clear();
  which_->addItem(tr("No job is open"));
  share_->setValue(0);
  setEnabled(false);
  offer_way_back(false);
  say(tr("at rest"));
}

void MotionPanel::say(const QString& pose) {
  percent_->setText(tr("%1 %").arg(share_->value()));
  reading_->setText(pose);
  reading_->setToolTip(pose);
}

void MotionPanel::offer_way_back(bool possible) { back_->setEnabled(possible); }

void MotionPanel::step(int percent) {
  if (!isEnabled()) return;
  play_->setChecked(false);
  share_->setValue(share_->value() + percent);
}

void MotionPanel::show_motions(const bay::Bay& bay) {
  clear();
  const QSignalBlocker quiet(which_);
  bay_ = &bay;
  bodies_ = bay.bodies.size();
  which_->clear();
  for (std::size_t b = 0; b < bay.bodies.size(); ++b) {
    const auto& body = bay.bodies[b];
    const QString owner = QString::fromStdString(body.name.empty() ? body.id.value : body.name);
    const auto add = [&](int member, const std::vector<double>& to, const QString& suffix) {
      cases_.push_back({static_cast<BodyIndex>(b), member, to});
      which_->addItem(owner + QStringLiteral(": ") +
                      QString::fromStdString(body.motion.members()[static_cast<std::size_t>(member)].name) + suffix +
                      (body.motion_assumed ? tr(" (assumed)") : QString()));
    };
    for (int m = 0; m < static_cast<int>(body.motion.members().size()); ++m) {
      const auto& member = body.motion.members()[static_cast<std::size_t>(m)];
      const bool box = member.shape == MotionMember::Shape::box;
      const auto moves = [](const std::vector<double>& q) {
        return std::any_of(q.begin(), q.end(), [](double v) { return v != 0; });
      };
      if (!box) add(m, member.to, {});
      if (box && moves(member.to)) add(m, member.to, tr(", upper end"));
      if (box && moves(member.from)) add(m, member.from, tr(", lower end"));
    }
  }
  if (cases_.empty()) which_->addItem(tr("Nothing moves in this job"));
  setEnabled(!cases_.empty());
}

void MotionPanel::publish() {
  PosedState state;
  state.bodies.resize(bodies_);
  const auto index = static_cast<std::size_t>(std::max(0, which_->currentIndex()));
  if (index < cases_.size() && share_->value() > 0) {
    const auto& one = cases_[index];
    auto& body = state.bodies[static_cast<std::size_t>(one.body)];
    body.member = one.member;
    for (const double q : one.to) body.q.push_back(q * share_->value() / 100.0);
  }
  say(bay_ != nullptr ? QString::fromStdString(measure::pose_text(*bay_, state)) : tr("at rest"));
  Q_EMIT posed(state);
}

void MotionPanel::rest() {
  play_->setChecked(false);
  const QSignalBlocker quiet(share_);
  share_->setValue(0);
  publish();
}

void MotionPanel::toggle_play() {
  if (isEnabled()) play_->toggle();
}

void MotionPanel::follow(const PosedState& state, const QString& pose_name) {
  play_->setChecked(false);
  const QSignalBlocker quiet_which(which_), quiet_share(share_);
  share_->setValue(0);
  for (std::size_t i = 0; i < cases_.size(); ++i) {
    const auto& one = cases_[i];
    if (static_cast<std::size_t>(one.body) >= state.bodies.size()) continue;
    const auto& body = state.bodies[static_cast<std::size_t>(one.body)];
    if (body.member != one.member || body.q.size() != one.to.size()) continue;
    for (std::size_t k = 0; k < one.to.size(); ++k) {
      if (one.to[k] == 0) continue;
      const double share = body.q[k] / one.to[k];
      if (share < 0 || share > 1) continue;
      which_->setCurrentIndex(static_cast<int>(i));
      share_->setValue(static_cast<int>(std::lround(100 * share)));
      break;
    }
  }
  say(pose_name.isEmpty() ? tr("at rest") : pose_name);
}

}  // namespace baywright::viewer
