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
  lines_->setLineWrapMode(QPlainTextEdit::NoWrap);
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
  constexpr int kMostRows = 7;
  headline_->setText(QStringLiteral("<b>! </b>") + headline.toHtmlEscaped());
  lines_->setPlainText(lines.join(QLatin1Char('\n')));
  lines_->setVisible(!lines.isEmpty());
  const int rows = qMin(kMostRows, lines.size());
  lines_->setFixedHeight(rows * fontMetrics().lineSpacing() + 24);
  show();
}

}  // namespace baywright::viewer
