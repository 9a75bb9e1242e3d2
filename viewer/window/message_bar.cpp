#include "viewer/window/message_bar.hpp"

#include <QApplication>
#include <QClipboard>
#include <QHBoxLayout>
#include <QLabel>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QVBoxLayout>

namespace baywright::viewer {

MessageBar::MessageBar(QWidget* parent)
    : QFrame(parent), headline_(new QLabel(this)), lines_(new QPlainTextEdit(this)) {
  setFrameShape(QFrame::StyledPanel);
  setAutoFillBackground(true);
  setBackgroundRole(QPalette::AlternateBase);
  headline_->setWordWrap(true);
  headline_->setTextInteractionFlags(Qt::TextSelectableByMouse);
  lines_->setReadOnly(true);
  lines_->setLineWrapMode(QPlainTextEdit::WidgetWidth);
  lines_->setAccessibleName(tr("Messages"));
  auto* copy = new QPushButton(tr("Copy"), this);
  auto* close = new QPushButton(tr("Close"), this);
  auto* top = new QHBoxLayout;
  top->addWidget(headline_, 1);
  top->addWidget(copy);
  top->addWidget(close);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(10, 6, 10, 6);
  layout->addLayout(top);
  layout->addWidget(lines_);
  connect(copy, &QPushButton::clicked, this, [this] {
    QApplication::clipboard()->setText(headline_->text() + QLatin1Char('\n') + lines_->toPlainText());
  });
  connect(close, &QPushButton::clicked, this, &QWidget::hide);
  hide();
}

void MessageBar::say(const QString& headline, const QStringList& lines) {
  headline_->setText(QStringLiteral("<b>! </b>") + headline.toHtmlEscaped());
  QStringList marked;
  for (const auto& line : lines) marked << QStringLiteral("•  ") + line;
  lines_->setPlainText(marked.join(QLatin1Char('\n')));
  lines_->setVisible(!lines.isEmpty());
  show();
  fit_lines();
}

void MessageBar::resizeEvent(QResizeEvent* event) {
  QFrame::resizeEvent(event);
  fit_lines();
}

void MessageBar::fit_lines() {
  constexpr double kMostRows = 12, kSlack = 0.7;
  const double rows = qBound(1.0, lines_->document()->size().height(), kMostRows);  // of a plain text: rows as wrapped
  const double margins = 2 * (lines_->document()->documentMargin() + lines_->frameWidth());
  lines_->setFixedHeight(static_cast<int>((rows + kSlack) * lines_->fontMetrics().lineSpacing() + margins));
}

}  // namespace baywright::viewer
