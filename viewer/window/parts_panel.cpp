#include "viewer/window/parts_panel.hpp"

#include <QHeaderView>
#include <QSignalBlocker>
#include <QTreeWidget>
#include <QVBoxLayout>

#include "viewer/scene/palette.hpp"

namespace baywright::viewer {

namespace {

constexpr int kPartRole = Qt::UserRole + 1;
constexpr int kDuctRole = Qt::UserRole + 2;

QString title(const std::string& name, const std::string& id) {
  return QString::fromStdString(name.empty() ? id : name);
}

QIcon swatch(const Rgb& color) {
  QPixmap pixmap(12, 12);
  pixmap.fill(
      QColor::fromRgbF(static_cast<double>(color[0]), static_cast<double>(color[1]), static_cast<double>(color[2])));
  return pixmap;
}

QTreeWidgetItem* group(QTreeWidget* tree, const QString& name) {
  auto* item = new QTreeWidgetItem(tree, {name});
  item->setFlags(Qt::ItemIsEnabled | Qt::ItemIsUserCheckable | Qt::ItemIsAutoTristate);
  item->setCheckState(0, Qt::Checked);
  item->setExpanded(true);
  return item;
}

}  // namespace

PartsPanel::PartsPanel(QWidget* parent) : QWidget(parent), tree_(new QTreeWidget(this)) {
  tree_->setHeaderLabels({tr("Part"), tr("Class")});
  tree_->setAccessibleName(tr("Parts and ducts"));
  tree_->header()->setStretchLastSection(false);
  tree_->header()->setSectionResizeMode(0, QHeaderView::Stretch);
  tree_->header()->setSectionResizeMode(1, QHeaderView::ResizeToContents);
  tree_->setTextElideMode(Qt::ElideMiddle);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addWidget(tree_);
  connect(tree_, &QTreeWidget::itemChanged, this, [this](QTreeWidgetItem* item, int column) {
    if (column != 0) return;
    const bool shown = item->checkState(0) == Qt::Checked;
    if (const auto part = item->data(0, kPartRole); part.isValid()) Q_EMIT part_shown(part.toInt(), shown);
    if (const auto duct = item->data(0, kDuctRole); duct.isValid()) Q_EMIT duct_shown(duct.toInt(), shown);
  });
  connect(tree_, &QTreeWidget::currentItemChanged, this, [this](QTreeWidgetItem* item) {
    if (item != nullptr && item->data(0, kPartRole).isValid()) Q_EMIT part_chosen(item->data(0, kPartRole).toInt());
  });
}

void PartsPanel::clear() {
  const QSignalBlocker quiet(tree_);
  tree_->clear();
  items_.clear();
}

void PartsPanel::show_parts(const job::Installation& installation) {
  clear();
  const QSignalBlocker quiet(tree_);
  auto* ducts = group(tree_, tr("Ducts"));
  for (std::size_t d = 0; d < installation.ducts.size(); ++d) {
    const auto& spec = installation.ducts[d].spec;
    auto* item = new QTreeWidgetItem(
        ducts, {title(spec.name, spec.id.value), QString::fromUtf8(duct::name(spec.service).data())});
    item->setCheckState(0, Qt::Checked);
    item->setData(0, kDuctRole, static_cast<int>(d));
    item->setIcon(0, swatch(kTube));
  }
  items_.resize(installation.bay.parts.size());
  for (std::size_t b = 0; b < installation.bay.bodies.size(); ++b) {
    const auto& body = installation.bay.bodies[b];
    QTreeWidgetItem* owner = nullptr;
    for (std::size_t p = 0; p < installation.bay.parts.size(); ++p) {
      const auto& part = installation.bay.parts[p];
      if (part.body != static_cast<int>(b)) continue;
      if (owner == nullptr) owner = group(tree_, title(body.name, body.id.value));
      auto* item = new QTreeWidgetItem(
          owner, {title(part.name, part.id.value), QString::fromUtf8(bay::name(part.part_class).data())});
      item->setCheckState(0, Qt::Checked);
      item->setData(0, kPartRole, static_cast<int>(p));
      item->setIcon(0, swatch(part_color(part)));
      item->setToolTip(0, tr("%1\nclass: %2\n%3").arg(item->text(0), item->text(1), QString::fromStdString(part.file)));
      items_[p] = item;
    }
  }
  fit_columns();
}

void PartsPanel::fit_columns() {
  tree_->setColumnHidden(1, false);
  auto* header = tree_->header();
  header->setSectionResizeMode(0, QHeaderView::ResizeToContents);
  const int needed = header->sectionSize(0) + header->sectionSize(1);
  header->setSectionResizeMode(0, QHeaderView::Stretch);
  tree_->setColumnHidden(1, needed > tree_->viewport()->width());
}

void PartsPanel::resizeEvent(QResizeEvent* event) {
  QWidget::resizeEvent(event);
  fit_columns();
}

void PartsPanel::select_part(int part) {
  if (part < 0 || static_cast<std::size_t>(part) >= items_.size()) return;
  const QSignalBlocker quiet(tree_);
  tree_->setCurrentItem(items_[static_cast<std::size_t>(part)]);
}

void PartsPanel::set_part_shown(int part, bool shown) {
  if (part < 0 || static_cast<std::size_t>(part) >= items_.size()) return;
  items_[static_cast<std::size_t>(part)]->setCheckState(0, shown ? Qt::Checked : Qt::Unchecked);
}

}  // namespace baywright::viewer
