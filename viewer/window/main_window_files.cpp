// What the window keeps in files: recent jobs, pictures; and job folders that are dropped on it.

#include <cstdio>

#include <QApplication>
#include <QDir>
#include <QDragEnterEvent>
#include <QFileDialog>
#include <QFileInfo>
#include <QMenu>
#include <QMimeData>
#include <QSettings>

#include "viewer/window/bay_view.hpp"
#include "viewer/window/main_window.hpp"
#include "viewer/window/message_bar.hpp"
#include "viewer/window/start_page.hpp"

namespace baywright::viewer {

namespace {

constexpr int kRecentMost = 10;

}  // namespace

QStringList MainWindow::recent() const {
  QStringList all;
  if (!wish_.keep_settings) return all;
  for (const auto& folder : QSettings().value(QStringLiteral("recent")).toStringList()) {
    const QString plain = QDir::cleanPath(folder);
    if (!all.contains(plain)) all << plain;
  }
  return all;
}

void MainWindow::remember(const QString& folder) {
  if (!wish_.keep_settings || folder.isEmpty()) return;
  QStringList all = recent();
  all.removeAll(folder);
  all.prepend(folder);
  while (all.size() > kRecentMost) all.removeLast();
  QSettings().setValue(QStringLiteral("recent"), all);
  fill_recent();
}

void MainWindow::fill_recent() {
  const QStringList all = recent();
  start_->set_recent(all);
  recent_menu_->clear();
  for (const auto& folder : all) {
    auto* action = recent_menu_->addAction(folder, this, [this, folder] { open_job(folder.toStdString()); });
    action->setEnabled(QFileInfo::exists(folder));
  }
  recent_menu_->addSeparator();
  recent_menu_->addAction(tr("Clear the list"), this, [this] {
    QSettings().remove(QStringLiteral("recent"));
    fill_recent();
  });
  recent_menu_->setEnabled(!all.isEmpty());
}

void MainWindow::save_picture() {
  if (!installation_) return;
  const QString path = QFileDialog::getSaveFileName(this, tr("Save the view as a picture"), QStringLiteral("bay.png"),
                                                    tr("PNG picture (*.png)"));
  if (path.isEmpty()) return;
  if (QFileInfo(path).suffix().compare(QStringLiteral("png"), Qt::CaseInsensitive) != 0) {
    messages_->say(tr("Pictures are written as PNG only; give a name that ends in .png"), {path});
    return;
  }
  if (!bay_->grabFramebuffer().save(path, "PNG")) messages_->say(tr("%1 could not be written").arg(path), {});
}

void MainWindow::fulfil_picture(int code) {
  if (!wish_.picture) return;
  const QString path = QString::fromStdString(wish_.picture->string());
  wish_.picture.reset();
  bay_->redraw();
  if (!grab().save(path, "PNG")) {
    std::fprintf(stderr, "baywright-view: %s could not be written\n", path.toUtf8().constData());
    code = 2;
  }
  QApplication::exit(code);
}

void MainWindow::dragEnterEvent(QDragEnterEvent* event) {
  if (event->mimeData()->hasUrls() && event->mimeData()->urls().front().isLocalFile()) event->acceptProposedAction();
}

void MainWindow::dropEvent(QDropEvent* event) {
  const QList<QUrl> urls = event->mimeData()->urls();
  const QFileInfo dropped(urls.front().toLocalFile());
  if (urls.size() > 1)
    messages_->say(tr("One job at a time: drop one folder"), {});
  else if (!dropped.isDir() && dropped.suffix() != QStringLiteral("json"))
    messages_->say(tr("%1 is no job: drop the folder that holds job.json").arg(dropped.filePath()), {});
  else
    open_job(dropped.filePath().toStdString());
}

}  // namespace baywright::viewer
