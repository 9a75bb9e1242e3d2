#include "viewer/window/help_page.hpp"

#include <QDialogButtonBox>
#include <QTextBrowser>
#include <QVBoxLayout>

namespace baywright::viewer {

namespace {

struct Line {
  QString how, what;
};

QString table(const QString& title, const std::vector<Line>& lines) {
  QString html = QStringLiteral("<h3>%1</h3><table cellspacing='0' cellpadding='3'>").arg(title);
  for (const auto& line : lines)
    html += QStringLiteral("<tr><td width='190'><b>%1</b></td><td>%2</td></tr>").arg(line.how, line.what);
  return html + QStringLiteral("</table>");
}

}  // namespace

HelpPage::HelpPage(QWidget* parent) : QDialog(parent) {
  setWindowTitle(tr("Mouse and keys"));
  QString html =
      table(tr("Mouse, over the bay"), {{tr("left drag"), tr("turn about the point under the pointer")},
                                        {tr("middle or right drag, Shift + left drag"), tr("move")},
                                        {tr("wheel"), tr("zoom to the pointer")},
                                        {tr("double click"), tr("bring the point under the pointer to the middle")},
                                        {tr("click"), tr("find the part in the list of parts")},
                                        {tr("drop a job folder"), tr("open it")}});
  html += table(
      tr("Moving the duct"),
      {{tr("drag a handle"), tr("move the intersection point in the plane of the picture; the duct, its clearance as "
                                "colour and the tightest place follow. A diamond goes anywhere, one with arrows along "
                                "the axis of its port, a square stays at its port")},
       {tr("Shift while dragging"), tr("along the vehicle axis nearest to the pointer's way")},
       {QStringLiteral("X, Y, Z"), tr("while dragging: along that axis, pressed again: free")},
       {tr("Esc, right button"), tr("while dragging: back to where it was")},
       {tr("table of points"), tr("type a place or a bend radius: 76.2, or with a unit, 3 1/2 in")},
       {QStringLiteral("Ctrl+Z"), tr("undo; Ctrl+Shift+Z or Ctrl+Y: redo")},
       {QStringLiteral("Ctrl+S"), tr("save: only the numbers that were changed are written into job.json")}});
  html += table(tr("Strip below the bay"), {{tr("point"), tr("mark the station in the bay and tell its clearance")},
                                            {tr("click"), tr("camera to the station; on a bar: choose its finding")}});
  html += table(tr("View"), {{QStringLiteral("F, Shift+F"), tr("fit the whole bay, fit the ducts")},
                             {QStringLiteral("1 … 8"), tr("left, right, front, rear, above, below, two oblique views")},
                             {QStringLiteral("B"), tr("bonnet shown or set aside")},
                             {QStringLiteral("S"), tr("stations along the ducts")},
                             {QStringLiteral("P"), tr("intersection points")},
                             {QStringLiteral("C"), tr("ducts coloured by what is nearest to them")}});
  html += table(tr("Findings and motion"),
                {{tr("Up, Down"), tr("step through the findings (in the list, and over the bay)")},
                 {QStringLiteral("Esc"), tr("let go of the chosen finding")},
                 {QStringLiteral("Ctrl+C"), tr("copy the chosen rows of the list")},
                 {tr("Left, Right"), tr("back and on through the load case (over the bay)")},
                 {QStringLiteral("Space"), tr("play or stop the motion (over the bay and in Motion)")},
                 {QStringLiteral("R"), tr("everything to rest")},
                 {QStringLiteral("W"), tr("back to the pose of the chosen finding")}});
  html +=
      table(tr("Checks"), {{QStringLiteral("Ctrl+Shift+W"),
                            tr("look for the way out of every tube and hose, or stop that: seconds, and a change ends "
                               "it; the moves stand with cr.assemble among the findings")}});
  html += table(tr("Job"), {{QStringLiteral("Ctrl+O"), tr("open a job folder")},
                            {QStringLiteral("F5"), tr("read the job again after a change of its files")},
                            {QStringLiteral("Ctrl+Shift+P"), tr("save the view as a picture")},
                            {QStringLiteral("Ctrl+W, Ctrl+Q"), tr("close the job, quit")},
                            {QStringLiteral("F1"), tr("this page")}});
  html += QStringLiteral("<p>%1</p>")
              .arg(tr("The window changes places of points and bend radii; everything else is changed in job.json: "
                      "then press F5."));
  auto* text = new QTextBrowser(this);
  text->setFrameShape(QFrame::NoFrame);
  text->setHtml(html);
  text->setAccessibleName(tr("Mouse and keys"));
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
  connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::close);
  auto* layout = new QVBoxLayout(this);
  layout->addWidget(text, 1);
  layout->addWidget(buttons);
  resize(560, 700);
}

}  // namespace baywright::viewer
