#include "viewer/window/loading_page.hpp"

#include <QFileInfo>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QVBoxLayout>

namespace baywright::viewer {

LoadingPage::LoadingPage(QWidget* parent)
    : QWidget(parent),
      title_(new QLabel(this)),
      folder_(new QLabel(this)),
      step_(new QLabel(this)),
      time_(new QLabel(this)),
      bar_(new QProgressBar(this)) {
  folder_->setWordWrap(true);
  step_->setWordWrap(true);
  bar_->setTextVisible(false);
  bar_->setAccessibleName(tr("Progress of reading the job"));
  auto* cancel = new QPushButton(tr("Cancel"), this);
  cancel->setToolTip(tr("Stop reading (Esc)"));
  connect(cancel, &QPushButton::clicked, this, &LoadingPage::cancel_wanted);
  auto* last = new QHBoxLayout;
  last->addWidget(time_, 1);
  last->addWidget(cancel);
  auto* column = new QWidget(this);
  auto* layout = new QVBoxLayout(column);
  layout->addWidget(title_);
  layout->addWidget(folder_);
  layout->addSpacing(12);
  layout->addWidget(bar_);
  layout->addWidget(step_);
  layout->addSpacing(8);
  layout->addLayout(last);
  column->setFixedWidth(520);
  auto* page = new QVBoxLayout(this);
  page->addStretch(1);
  page->addWidget(column, 0, Qt::AlignHCenter);
  page->addStretch(2);
  tick_.setInterval(1000);
  connect(&tick_, &QTimer::timeout, this, &LoadingPage::show_time);
}

void LoadingPage::start(const QString& folder) {
  title_->setText(
      QStringLiteral("<h2>%1</h2>").arg(tr("Opening %1").arg(QFileInfo(folder).fileName().toHtmlEscaped())));
  folder_->setText(folder);
  show_step(tr("reading"), -1);
  since_.start();
  show_time();
  tick_.start();
}

void LoadingPage::stop() { tick_.stop(); }

void LoadingPage::show_step(const QString& step, double fraction) {
  step_->setText(step);
  bar_->setRange(0, fraction < 0 ? 0 : 1000);
  if (fraction >= 0) bar_->setValue(static_cast<int>(1000 * fraction));
}

void LoadingPage::show_time() { time_->setText(tr("%1 s").arg(since_.elapsed() / 1000)); }

}  // namespace baywright::viewer
