#include "viewer/window/start_page.hpp"

#include <algorithm>

#include <QCoreApplication>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "geometry/base/atomic_file.hpp"
#include "job/job_file.hpp"

namespace baywright::viewer {

namespace fs = std::filesystem;

namespace {

constexpr int kRecentWide_px = 340;

/// Every part of the job has its file. A job that cannot be read is left to the one who opens it.
bool files_made(const fs::path& folder) {
  const auto text = read_file(folder / "job.json");
  const auto job = text ? job::read_job(*text, "job.json") : ResultAll<job::Job>();
  if (!text || !job) return true;
  return std::all_of(job->parts.begin(), job->parts.end(), [&](const job::PartSpec& part) {
    std::error_code error;
    return fs::exists(folder / part.file, error);
  });
}

}  // namespace

std::vector<DemoJob> demo_jobs(const fs::path& models) {
  std::vector<DemoJob> found;
  constexpr auto kHow = fs::directory_options::skip_permission_denied | fs::directory_options::follow_directory_symlink;
  std::error_code error;
  for (fs::recursive_directory_iterator it(models, kHow, error), end; !error && it != end; it.increment(error)) {
    if (it.depth() > 2) it.disable_recursion_pending();
    if (it->path().filename() != "job.json") continue;
    std::error_code ignored;
    const fs::path folder = it->path().parent_path(), plain = fs::weakly_canonical(folder, ignored);
    found.push_back({fs::relative(folder, models).generic_string(), ignored ? folder : plain, files_made(folder)});
  }
  std::sort(found.begin(), found.end(), [](const DemoJob& a, const DemoJob& b) { return a.name < b.name; });
  return found;
}

std::vector<DemoJob> demo_jobs_of_program() {
  const fs::path program = QCoreApplication::applicationDirPath().toStdString();
  std::vector<DemoJob> found;
  for (const fs::path& models : {program / ".." / "share" / "baywright" / "models", program / ".." / "models"}) {
    found = demo_jobs(models);
    if (!found.empty()) break;
  }
  return found;
}

StartPage::StartPage(QWidget* parent, const std::vector<DemoJob>& demos) : QWidget(parent), recent_(new QVBoxLayout) {
  auto* title = new QLabel(QStringLiteral("<h1>Baywright</h1>"), this);
  auto* what =
      new QLabel(tr("Does the duct fit, with room for everything that moves? Open a job folder: the scan and STEP "
                    "files of the bay, the ducts, and the sheet of requirements, tied together by its job.json."),
                 this);
  what->setWordWrap(true);
  auto* open = new QPushButton(tr("Open a job folder…"), this);
  open->setDefault(true);
  connect(open, &QPushButton::clicked, this, &StartPage::open_wanted);
  auto* layout = new QVBoxLayout;
  layout->addWidget(title);
  layout->addWidget(what);
  layout->addSpacing(12);
  layout->addWidget(open, 0, Qt::AlignLeft);
  add_demos(layout, demos);
  layout->addSpacing(16);
  layout->addLayout(recent_);
  auto* column = new QWidget(this);
  column->setLayout(layout);
  constexpr int kWide = 540, kLeastWide = 380;
  column->setMaximumWidth(kWide);
  what->setMinimumHeight(what->heightForWidth(kLeastWide - 40));  // a wrapped text asks for less than it needs
  auto* page = new QVBoxLayout(this);
  page->addStretch(1);
  auto* middle = new QHBoxLayout;
  middle->addStretch(1);
  middle->addWidget(column, 1000);  // all the room up to its greatest width
  middle->addStretch(1);
  page->addLayout(middle);
  page->addStretch(2);
}

void StartPage::add_demos(QVBoxLayout* layout, const std::vector<DemoJob>& demos) {
  if (demos.empty()) return;
  layout->addSpacing(16);
  layout->addWidget(new QLabel(tr("<b>Demo jobs</b>"), this));
  bool all_made = true;
  for (const auto& demo : demos) {
    all_made = all_made && demo.made;
    if (!demo.made) continue;
    auto* button = new QPushButton(QString::fromStdString(demo.name), this);
    const QString folder = QString::fromStdString(demo.folder.string());
    button->setToolTip(folder);
    connect(button, &QPushButton::clicked, this, [this, folder] { Q_EMIT job_chosen(folder); });
    layout->addWidget(button, 0, Qt::AlignLeft);
  }
  if (all_made) return;
  // Where the program is installed nobody may be allowed to write, so a click cannot make the files there.
  auto* how = new QLabel(tr("The bay of the demo has to be made first, in a folder of yours. Type<br>"
                            "<code>baywright demo --out try</code><br>"
                            "and open <code>try/tarn40/as-found</code>, <code>try/tarn40/first-try</code> or "
                            "<code>try/tarn40/fitted</code> here."),
                         this);
  how->setWordWrap(true);
  how->setObjectName(QStringLiteral("how to make the demo"));
  how->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
  layout->addWidget(how);
}

void StartPage::set_recent(const QStringList& folders) {
  while (auto* item = recent_->takeAt(0)) {
    delete item->widget();
    delete item;
  }
  if (folders.isEmpty()) return;
  recent_->addWidget(new QLabel(tr("<b>Recent jobs</b>"), this));
  for (const auto& folder : folders) {
    // Both ends of a long one tell jobs apart; the tool tip has it whole.
    auto* button = new QPushButton(fontMetrics().elidedText(folder, Qt::ElideMiddle, kRecentWide_px), this);
    button->setFlat(true);
    button->setEnabled(QFileInfo::exists(folder));
    button->setToolTip(button->isEnabled() ? folder : tr("This folder is not there any more"));
    connect(button, &QPushButton::clicked, this, [this, folder] { Q_EMIT job_chosen(folder); });
    recent_->addWidget(button, 0, Qt::AlignLeft);
  }
}

}  // namespace baywright::viewer
