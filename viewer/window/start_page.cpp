#include "viewer/window/start_page.hpp"

#include <algorithm>

#include <QCoreApplication>
#include <QFileInfo>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

namespace baywright::viewer {

namespace fs = std::filesystem;

std::vector<DemoJob> demo_jobs() {
  std::vector<DemoJob> found;
  const fs::path program = QCoreApplication::applicationDirPath().toStdString();
  for (const fs::path& root : {program / ".." / "share" / "baywright" / "models", program / ".." / "models"}) {
    constexpr auto kHow =
        fs::directory_options::skip_permission_denied | fs::directory_options::follow_directory_symlink;
    std::error_code error;
    for (fs::recursive_directory_iterator it(root, kHow, error), end; !error && it != end; it.increment(error)) {
      if (it.depth() > 2) it.disable_recursion_pending();
      if (it->path().filename() == "job.json")
        found.push_back({fs::relative(it->path().parent_path(), root).generic_string(), it->path().parent_path()});
    }
    if (!found.empty()) break;
  }
  std::sort(found.begin(), found.end(), [](const DemoJob& a, const DemoJob& b) { return a.name < b.name; });
  return found;
}

StartPage::StartPage(QWidget* parent) : QWidget(parent), recent_(new QVBoxLayout) {
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
  const auto demos = demo_jobs();
  if (!demos.empty()) {
    layout->addSpacing(16);
    layout->addWidget(new QLabel(tr("<b>Demo jobs</b>"), this));
    for (const auto& demo : demos) {
      auto* button = new QPushButton(QString::fromStdString(demo.name), this);
      const QString folder = QString::fromStdString(demo.folder.string());
      button->setToolTip(folder);
      connect(button, &QPushButton::clicked, this, [this, folder] { Q_EMIT job_chosen(folder); });
      layout->addWidget(button, 0, Qt::AlignLeft);
    }
  }
  layout->addSpacing(16);
  layout->addLayout(recent_);
  auto* column = new QWidget(this);
  column->setLayout(layout);
  constexpr int kWide = 540;
  column->setFixedWidth(kWide);
  what->setMinimumHeight(what->heightForWidth(kWide - 40));  // a wrapped text asks for less than it needs
  auto* page = new QVBoxLayout(this);
  page->addStretch(1);
  page->addWidget(column, 0, Qt::AlignHCenter);
  page->addStretch(2);
}

void StartPage::set_recent(const QStringList& folders) {
  while (auto* item = recent_->takeAt(0)) {
    delete item->widget();
    delete item;
  }
  if (folders.isEmpty()) return;
  recent_->addWidget(new QLabel(tr("<b>Recent jobs</b>"), this));
  for (const auto& folder : folders) {
    auto* button = new QPushButton(folder, this);
    button->setFlat(true);
    button->setEnabled(QFileInfo::exists(folder));
    button->setToolTip(button->isEnabled() ? folder : tr("This folder is not there any more"));
    connect(button, &QPushButton::clicked, this, [this, folder] { Q_EMIT job_chosen(folder); });
    recent_->addWidget(button, 0, Qt::AlignLeft);
  }
}

}  // namespace baywright::viewer
