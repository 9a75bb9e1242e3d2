#include <cstdio>

#include <QVTKOpenGLNativeWidget.h>
#include <QApplication>
#include <QCommandLineParser>
#include <QSurfaceFormat>

#include "geometry/base/expects.hpp"
#include "viewer/scene/glew_shim.hpp"
#include "viewer/window/main_window.hpp"

namespace {

constexpr int kBadUsage = 2;
constexpr int kOurMistake = 70;

int usage(const QString& message) {
  std::fprintf(stderr, "baywright-view: %s\n", message.toUtf8().constData());
  return kBadUsage;
}

int run(int argc, char** argv) {
  using baywright::viewer::MainWindow;
  baywright::viewer::keep_glew_shim();
  auto format = QVTKOpenGLNativeWidget::defaultFormat();
  format.setSamples(0);
  QSurfaceFormat::setDefaultFormat(format);
  QApplication::setAttribute(Qt::AA_EnableHighDpiScaling);
  QApplication::setAttribute(Qt::AA_UseHighDpiPixmaps);
  QApplication app(argc, argv);
  QApplication::setApplicationName(QStringLiteral("baywright"));
  QApplication::setOrganizationName(QStringLiteral("baywright"));
  QApplication::setApplicationVersion(QStringLiteral(BAYWRIGHT_VERSION));

  QCommandLineParser parser;
  parser.setApplicationDescription(QStringLiteral("Window over a Baywright job."));
  parser.addHelpOption();
  parser.addVersionOption();
  parser.addPositionalArgument(QStringLiteral("job"), QStringLiteral("folder with job.json"), QStringLiteral("[job]"));
  const QCommandLineOption finding(QStringLiteral("finding"), QStringLiteral("choose this finding, 1 is the worst"),
                                   QStringLiteral("N"));
  const QCommandLineOption picture(QStringLiteral("screenshot"), QStringLiteral("save the window as a PNG and quit"),
                                   QStringLiteral("FILE"));
  const QCommandLineOption fresh(QStringLiteral("fresh"), QStringLiteral("ignore and keep no settings"));
  const QCommandLineOption allow(QStringLiteral("allow-dir"),
                                 QStringLiteral("folder outside the job folder from which jobs may read; repeatable"),
                                 QStringLiteral("FOLDER"));
  parser.addOptions({finding, picture, fresh, allow});
  parser.process(app);

  MainWindow::Wish wish;
  const QStringList jobs = parser.positionalArguments();
  if (jobs.size() > 1) return usage(QStringLiteral("one job at a time"));
  if (!jobs.isEmpty()) wish.job = jobs.front().toStdString();
  for (const QString& folder : parser.values(allow)) wish.read.allowed_folders.emplace_back(folder.toStdString());
  if (parser.isSet(finding)) {
    bool good = false;
    const int number = parser.value(finding).toInt(&good);
    if (!good || number < 1) return usage(QStringLiteral("--finding wants a number from 1 on"));
    if (!wish.job) return usage(QStringLiteral("--finding needs a job"));
    wish.finding = number;
  }
  if (parser.isSet(picture)) wish.picture = parser.value(picture).toStdString();
  // Pictures for documents and tests must not depend on how somebody left the window.
  wish.keep_settings = !parser.isSet(fresh) && !wish.picture;
  MainWindow window(std::move(wish));
  window.show();
  return QApplication::exec();
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const baywright::ContractViolation& mistake) {
    std::fprintf(stderr, "baywright-view: this is our mistake: %s\n", mistake.what());
    return kOurMistake;
  }
}
