#include "viewer/window/findings_panel.hpp"

#include <algorithm>
#include <cmath>

#include <QApplication>
#include <QClipboard>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QScrollBar>
#include <QSignalBlocker>
#include <QSplitter>
#include <QStyle>
#include <QTableView>
#include <QTextBrowser>
#include <QToolButton>
#include <QVBoxLayout>

#include "geometry/base/unit_step.hpp"
#include "viewer/scene/marks.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/window/column_widths.hpp"
#include "viewer/window/words.hpp"

namespace baywright::viewer {

namespace {

QString safe(std::string_view text) { return words(text).toHtmlEscaped(); }

QString row(const QString& name, const QString& value) {
  if (value.isEmpty()) return {};
  return QStringLiteral("<tr><td width='30%' style='padding-right:10px'>%1</td><td>%2</td></tr>").arg(name, value);
}

/// With the value as the sheet states it, where that has another unit.
QString limit_row(const checks::Limit& limit, const std::string& text, const DisplayUnits& units) {
  const std::string stated = checks::stated_otherwise(limit, units);
  return safe(text) + (stated.empty() ? QString() : QStringLiteral(" (%1)").arg(safe(stated)));
}

}  // namespace

FindingsPanel::FindingsPanel(QWidget* parent)
    : QWidget(parent),
      model_(new FindingsModel(this)),
      filter_(new FindingsFilter(this)),
      summary_(new QLabel(this)),
      words_(new QLineEdit(this)),
      table_(new QTableView(this)),
      details_(new QTextBrowser(this)) {
  filter_->setSourceModel(model_);
  table_->setModel(filter_);
  table_->setAccessibleName(tr("Findings, worst first"));
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSortingEnabled(true);
  table_->sortByColumn(FindingsModel::verdict, Qt::AscendingOrder);
  table_->setAlternatingRowColors(true);
  table_->setShowGrid(false);
  // Texts wrap instead of being cut; a word too long for its column keeps both ends, and the tool tip has it whole.
  table_->setWordWrap(true);
  table_->setTextElideMode(Qt::ElideMiddle);
  table_->setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOn);  // the columns share what is left beside it
  table_->setHorizontalScrollMode(QAbstractItemView::ScrollPerPixel);
  table_->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
  table_->verticalHeader()->hide();
  table_->verticalHeader()->setMinimumSectionSize(fontMetrics().height() + 8);
  table_->verticalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setHighlightSections(false);
  table_->installEventFilter(this);
  words_->setPlaceholderText(tr("Filter: words anywhere in a row"));
  words_->setClearButtonEnabled(true);
  words_->setAccessibleName(tr("Filter of the findings"));
  summary_->setTextFormat(Qt::RichText);
  details_->setAccessibleName(tr("Details of the chosen finding"));
  details_->setFrameShape(QFrame::NoFrame);
  details_->setPlaceholderText(
      tr("Choose a finding: the view goes there, and all that is known about it stands here."));

  auto* only = new QToolButton(this);
  only->setText(tr("Open only"));
  only->setToolTip(tr("Hide what is met or does not apply"));
  only->setCheckable(true);
  auto* bar = new QHBoxLayout;
  bar->addWidget(words_, 1);
  bar->addWidget(only);
  auto* split = new QSplitter(Qt::Vertical, this);
  split->addWidget(table_);
  split->addWidget(details_);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 2);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addWidget(summary_);
  layout->addLayout(bar);
  layout->addWidget(split, 1);

  connect(words_, &QLineEdit::textChanged, this,
          [this](const QString& words) { refilter([&] { filter_->set_words(words); }); });
  connect(only, &QToolButton::toggled, this, [this](bool on) {
    refilter([&] {
      filter_->set_hidden(checks::Verdict::met, on);
      filter_->set_hidden(checks::Verdict::not_applicable, on);
    });
  });
  // A second click on the chosen one goes back to it after looking around.
  connect(table_, &QTableView::activated, this, [this](const QModelIndex& index) {
    if (const int number = filter_->mapToSource(index).row(); number == chosen_) Q_EMIT chosen(number);
  });
  connect(table_->selectionModel(), &QItemSelectionModel::currentRowChanged, this, [this](const QModelIndex& current) {
    if (!current.isValid() || filtering_) return;
    chosen_ = filter_->mapToSource(current).row();
    show_details(model_->at(chosen_));
    Q_EMIT chosen(chosen_);
  });
  clear();
}

void FindingsPanel::clear() {
  let_go();
  model_->set({}, {});
  summary_->setText({});
}

void FindingsPanel::let_go() {
  filtering_ = true;
  table_->setCurrentIndex({});
  table_->clearSelection();
  filtering_ = false;
  chosen_ = -1;
  details_->clear();
}

void FindingsPanel::step(int rows) {
  const int count = filter_->rowCount();
  if (count == 0) return;
  const QModelIndex current = table_->currentIndex();
  const int row = current.isValid() ? std::clamp(current.row() + rows, 0, count - 1) : 0;
  table_->setCurrentIndex(filter_->index(row, 0));
}

void FindingsPanel::refilter(const std::function<void()>& change) {
  filtering_ = true;
  change();
  const QModelIndex index = chosen_ >= 0 ? filter_->mapFromSource(model_->index(chosen_, 0)) : QModelIndex();
  table_->setCurrentIndex(index);
  if (!index.isValid()) table_->clearSelection();
  filtering_ = false;
}

void FindingsPanel::resizeEvent(QResizeEvent* event) {
  QWidget::resizeEvent(event);
  share_columns();
}

void FindingsPanel::share_columns() {
  constexpr int kLeast_px = 110, kLeastNarrow_px = 60;
  const auto need = [&](int c) {
    table_->resizeColumnToContents(c);
    return table_->columnWidth(c);
  };
  // Verdict to limit shall be seen without scrolling; margin, weight and check may lie beyond.
  int room = table_->viewport()->width();
  const auto* bar = table_->verticalScrollBar();
  if (bar->style()->styleHint(QStyle::SH_ScrollBar_Transient, nullptr, bar) != 0) room -= bar->sizeHint().width();
  table_->setWordWrap(false);  // what the texts need on one line
  table_->setColumnHidden(FindingsModel::plus_minus, false);
  std::vector<int> needs;
  for (int c = 0; c < model_->columnCount(); ++c) {
    const int wide = need(c);
    if (c == FindingsModel::title || c == FindingsModel::subject)
      needs.push_back(wide);
    else if (c <= FindingsModel::limit)
      room -= wide;
  }
  table_->setWordWrap(true);
  // In a narrow panel the uncertainty stands in the details alone: value and limit must be readable.
  if (const int kept = table_->columnWidth(FindingsModel::plus_minus); room < 2 * kLeast_px) {
    table_->setColumnHidden(FindingsModel::plus_minus, true);
    room += kept;
  }
  const auto widths = shared_widths(room, needs, std::clamp(room / 2, kLeastNarrow_px, kLeast_px));
  table_->setColumnWidth(FindingsModel::title, widths[0]);
  table_->setColumnWidth(FindingsModel::subject, widths[1]);
}

void FindingsPanel::show_findings(const checks::Evaluation& evaluation, const DisplayUnits& units) {
  units_ = units;
  model_->set(evaluation.findings, units);
  const auto& s = evaluation.summary;
  QStringList parts;
  const auto count = [&](checks::Verdict v, int n) {
    if (n == 0) return;
    const Rgb c = text_color(v, palette().color(QPalette::Window).lightness() < 128);
    const QColor color =
        QColor::fromRgbF(static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2]));
    parts << QStringLiteral("<span style='color:%1'><b>%2 %3</b> %4</span>")
                 .arg(color.name(), words(mark(v)), QString::number(n), words(checks::name(v)));
  };
  count(checks::Verdict::not_met, s.not_met);
  count(checks::Verdict::undecided, s.undecided);
  count(checks::Verdict::not_checked, s.not_checked);
  count(checks::Verdict::met, s.met);
  count(checks::Verdict::not_applicable, s.not_applicable);
  summary_->setText(parts.join(QStringLiteral(" &nbsp; ")));
  share_columns();
}

bool FindingsPanel::choose(int number) {
  if (number < 0 || number >= model_->rowCount()) return false;
  words_->clear();
  const QModelIndex index = filter_->mapFromSource(model_->index(number, 0));
  if (!index.isValid()) return false;
  table_->setCurrentIndex(index);
  table_->scrollTo(index);
  return true;
}

bool FindingsPanel::choose_quietly(int number) {
  const QSignalBlocker quiet(this);
  return choose(number);
}

void FindingsPanel::show_details(const checks::Finding& f) {
  const Rgb c = text_color(f.verdict, palette().color(QPalette::Base).lightness() < 128);
  const QColor color =
      QColor::fromRgbF(static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2]));
  QString html = QStringLiteral("<p><b style='color:%1'>%2 %3</b> &nbsp; <b>%4</b></p><table width='100%'>")
                     .arg(color.name(), words(mark(f.verdict)), safe(checks::name(f.verdict)), safe(f.title));
  html += row(tr("Where"), safe(f.subject));
  const auto* m = std::get_if<measure::Measured>(&f.outcome);
  if (m != nullptr) {
    const QString low = safe(format(m->lo, m->unit, units_)), high = safe(format(m->hi, m->unit, units_));
    QString measured = low == high ? low : tr("%1 to %2").arg(low, high);
    if (!std::isfinite(m->hi))
      measured = m->unit == Unit::pascal ? tr("chokes after %1 are lost: the flow does not pass").arg(low)
                                         : tr("more than %1; nothing nearer was found").arg(low);
    html += row(tr("Measured"), measured);
  } else {
    const auto& missing = std::get<measure::NotAssessed>(f.outcome);
    html += row(tr("Not assessed"), safe(missing.reason));
    QStringList inputs;
    for (const auto& one : missing.missing) inputs << safe(one);
    html += row(tr("Missing"), inputs.join(QStringLiteral("<br>")));
  }
  if (f.limit) html += row(tr("Limit"), limit_row(*f.limit, limit_text(f, units_), units_));
  // What to do comes before how the number came about.
  html += row(tr("Would help"), safe(f.hint));
  if (m != nullptr) {
    html += row(tr("Pose"),
                safe(m->pose_name) + (m->assumed_motion ? tr(" (assumed motion, nobody measured it)") : QString()));
    if (m->station_mm) html += row(tr("Station"), safe(format(*m->station_mm, Unit::mm, units_)));
    html += row(tr("Note"), safe(m->note));
    for (const auto& one : m->band.contributions())
      html +=
          row(tr("± from %1").arg(safe(one.source)), QStringLiteral("-%1 / +%2")
                                                         .arg(words(format_number(one.low, step_of(m->unit), units_)),
                                                              safe(format(one.high, step_of(m->unit), units_))));
  }
  if (f.limit)
    html += row(tr("Limit from"),
                safe(checks::name(f.limit->origin.kind)) +
                    (f.limit->origin.text.empty() ? QString() : QStringLiteral(": ") + safe(f.limit->origin.text)));
  if (const auto* def = checks::find_check(f.check))
    html += row(tr("Means"), safe(checks::definition_text(*def, units_)));
  details_->setHtml(html + QStringLiteral("</table>"));
}

void FindingsPanel::copy() const {
  QApplication::clipboard()->setText(as_tsv(*filter_, table_->selectionModel()->selectedIndexes()));
}

bool FindingsPanel::eventFilter(QObject* watched, QEvent* event) {
  if (watched == table_ && event->type() == QEvent::KeyPress &&
      static_cast<QKeyEvent*>(event)->matches(QKeySequence::Copy)) {
    copy();
    return true;
  }
  return QWidget::eventFilter(watched, event);
}

}  // namespace baywright::viewer
