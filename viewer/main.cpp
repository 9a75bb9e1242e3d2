#include <unistd.h>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include <QVTKOpenGLNativeWidget.h>
#include <QApplication>
#include <QCommandLineParser>
#include <QSurfaceFormat>

#include "geometry/base/expects.hpp"
#include "viewer/scene/glew_shim.hpp"
#include "viewer/window/main_window.hpp"

namespace {

using baywright::viewer::MainWindow;

constexpr int kBadUsage = 2;
constexpr int kOurMistake = 70;

int usage(const QString& message) {
  std::fprintf(stderr, "baywright-view: %s\n", message.toUtf8().constData());
  return kBadUsage;
}

void name_application() {
  QCoreApplication::setApplicationName(QStringLiteral("baywright"));
  QCoreApplication::setOrganizationName(QStringLiteral("baywright"));
  QCoreApplication::setApplicationVersion(QStringLiteral(BAYWRIGHT_VERSION));
}

/// What the command line asks for: a window, or nothing more than what was printed.
struct Asked {
  std::optional<int> done;  ///< exit code
  MainWindow::Wish wish;
};

Asked done(int code) {
  Asked asked;
  asked.done = code;
  return asked;
}

/// Options the toolkit takes for itself; each is followed by a value.
bool is_toolkit_option(const QString& option) {
  static const QStringList kThose = {QStringLiteral("-platform"), QStringLiteral("-style"), QStringLiteral("-display"),
                                     QStringLiteral("-geometry")};
  return kThose.contains(option);
}

/// "intake,P2,-60,170,540".
std::optional<MainWindow::Wish::Hold> hold_from(const QString& text) {
  const QStringList parts = text.split(QLatin1Char(','));
  if (parts.size() != 5) return std::nullopt;
  MainWindow::Wish::Hold hold{
      baywright::duct::DuctId(parts[0].toStdString()), baywright::duct::PointId(parts[1].toStdString()), {}};
  for (int k = 0; k < 3; ++k) {
    bool good = false;
    hold.at_mm[k] = parts[2 + k].toDouble(&good);
    if (!good || !qIsFinite(hold.at_mm[k])) return std::nullopt;
  }
  return hold;
}

/// Reads the command line without a display.
Asked read_command_line(int argc, char** argv) {
  int count = argc;
  const QCoreApplication core(count, argv);
  name_application();
  QStringList arguments = QCoreApplication::arguments();
  for (int i = arguments.size() - 1; i > 0; --i)
    if (is_toolkit_option(arguments[i]))
      arguments.erase(arguments.begin() + i, arguments.begin() + qMin(i + 2, arguments.size()));

  QCommandLineParser parser;
  parser.setApplicationDescription(
      QStringLiteral("Window over a Baywright job: bay, duct and findings; mouse and keys under F1."));
  const QCommandLineOption help({QStringLiteral("h"), QStringLiteral("help")}, QStringLiteral("say this and quit"));
  const QCommandLineOption version({QStringLiteral("v"), QStringLiteral("version")}, QStringLiteral("say the version"));
  parser.addPositionalArgument(QStringLiteral("job"),
                               QStringLiteral("job folder (with job.json), or the job file itself"),
                               QStringLiteral("[job]"));
  const QCommandLineOption finding(QStringLiteral("finding"), QStringLiteral("choose this finding, 1 is the worst"),
                                   QStringLiteral("N"));
  const QCommandLineOption picture(QStringLiteral("screenshot"), QStringLiteral("save the window as a PNG and quit"),
                                   QStringLiteral("FILE"));
  const QCommandLineOption hold(QStringLiteral("hold"),
                                QStringLiteral("with --screenshot: show a point of a duct held at a place, mm"),
                                QStringLiteral("DUCT,POINT,X,Y,Z"));
  const QCommandLineOption fresh(QStringLiteral("fresh"), QStringLiteral("ignore and keep no settings"));
  const QCommandLineOption allow(QStringLiteral("allow-dir"),
                                 QStringLiteral("folder outside the job folder from which jobs may read; repeatable"),
                                 QStringLiteral("FOLDER"));
  const QCommandLineOption anew(QStringLiteral("no-cache"),
                                QStringLiteral("read every file anew, and keep nothing in the job folder's %1")
                                    .arg(QLatin1String(baywright::job::kCacheFolder)));
  parser.addOptions({help, version, finding, picture, hold, fresh, allow, anew});
  if (!parser.parse(arguments)) return done(usage(parser.errorText()));
  if (parser.isSet(help)) {
    std::fputs(parser.helpText().toUtf8().constData(), stdout);
    return done(0);
  }
  if (parser.isSet(version)) {
    std::fputs("baywright-view " BAYWRIGHT_VERSION "\n", stdout);
    return done(0);
  }

  Asked asked;
  MainWindow::Wish& wish = asked.wish;
  const QStringList jobs = parser.positionalArguments();
  if (jobs.size() > 1) return done(usage(QStringLiteral("one job at a time")));
  if (!jobs.isEmpty()) wish.job = jobs.front().toStdString();
  for (const QString& folder : parser.values(allow)) wish.read.allowed_folders.emplace_back(folder.toStdString());
  wish.read.cache = !parser.isSet(anew);
  if (parser.isSet(finding)) {
    bool good = false;
    const int number = parser.value(finding).toInt(&good);
    if (!good || number < 1) return done(usage(QStringLiteral("--finding wants a number from 1 on")));
    if (!wish.job) return done(usage(QStringLiteral("--finding needs a job")));
    wish.finding = number;
  }
  if (parser.isSet(picture)) wish.picture = parser.value(picture).toStdString();
  if (parser.isSet(hold)) {
    if (!wish.picture || !wish.job) return done(usage(QStringLiteral("--hold needs a job and --screenshot")));
    wish.hold = hold_from(parser.value(hold));
    if (!wish.hold) return done(usage(QStringLiteral("--hold wants DUCT,POINT,X,Y,Z, the last three in mm")));
  }
  // Pictures for documents and tests must not depend on how somebody left the window.
  wish.keep_settings = !parser.isSet(fresh) && !wish.picture;
  return asked;
}

/// What the toolkit said while it started.
QStringList& start_messages() {
  static QStringList messages;
  return messages;
}

/// The toolkit ends the program with a core dump when it finds no display; that deserves a line, not a crash.
void hear_start_messages(QtMsgType type, const QMessageLogContext&, const QString& message) {
  if (type != QtFatalMsg) {
    start_messages() << message;
    return;
  }
  std::fputs(
      "baywright-view: no window can be opened: no display answers (DISPLAY or WAYLAND_DISPLAY); "
      "`baywright check` needs none\n",
      stderr);
  std::fflush(nullptr);
  ::_exit(kBadUsage);
}

int run(int argc, char** argv) {
  Asked asked = read_command_line(argc, argv);
  if (asked.done) return *asked.done;

  baywright::viewer::keep_glew_shim();
  auto format = QVTKOpenGLNativeWidget::defaultFormat();
  format.setSamples(0);
  QSurfaceFormat::setDefaultFormat(format);
  QApplication::setAttribute(Qt::AA_EnableHighDpiScaling);
  QApplication::setAttribute(Qt::AA_UseHighDpiPixmaps);
  const auto usual = qInstallMessageHandler(hear_start_messages);
  const QApplication app(argc, argv);
  qInstallMessageHandler(usual);
  for (const QString& message : start_messages()) usage(message);
  name_application();
  MainWindow window(std::move(asked.wish));
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
