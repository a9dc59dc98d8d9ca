#include "ui/publish/publish_panel.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/look/key_cap.h"
#include "ui/publish/moved_list.h"
#include "ui/publish/products.h"

#include <QCheckBox>
#include <QEvent>
#include <QDir>
#include <QFileDialog>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QPushButton>
#include <QStyle>

namespace ui {
namespace {

constexpr QSize pictureRoom(64, 40);

} // namespace

PublishPanel::PublishPanel(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_flashing(called("allowFlashing", new QCheckBox(tr("clips that flash, too")))),
      m_sideBySide(called("sideBySide", new QCheckBox(tr("both in one clip")))),
      m_trials(called("shownTrials", new CommitEdit(tr("typical trials")))),
      m_folder(called("publishFolder", new CommitEdit(tr("choose a folder")))),
      m_publish(called("publish", new KeyButton(tr("Publish"), {QStringLiteral("Ctrl"), QStringLiteral("E")},
                                                KeyButton::Kind::Primary))),
      m_replace(called("replaceForeign", new QPushButton(tr("Replace them")))),
      m_stop(called("stopPublishing", new QPushButton(tr("Stop")))), m_outcome(selectable(emptyNote({}, Text::State))),
      m_moved(new MovedList)
{
    auto* column = columnIn(this, 0);

    auto* panel = new Panel(tr("Products"));
    panel->setTrailing(tr("written together"));
    panel->body()->setSpacing(0);
    for (const ProductKind& product : productKinds()) {
        auto* row = new QWidget;
        auto* beside = new QHBoxLayout(row);
        beside->setContentsMargins(0, 3, 0, 3);
        auto* words = new QVBoxLayout;
        words->setSpacing(0);
        beside->addLayout(words, 1);
        auto* box = called(("product-" + std::string(product.key)).c_str(), new QCheckBox(tr(product.name)));
        box->setFont(ui::font(Text::Body, QFont::DemiBold));
        box->setAccessibleDescription(tr(product.words));
        words->addWidget(box);
        auto* second = wrapping(tr(product.words), Text::Caption, Tone::Secondary);
        second->setIndent(24);
        words->addWidget(second);
        // By the keyboard, a product is shown when its tick is come to.
        auto* picture = called(("picture-" + std::string(product.key)).c_str(), new QPushButton);
        picture->setFlat(true);
        picture->setFocusPolicy(Qt::NoFocus);
        picture->setAccessibleName(tr("Show %1 large").arg(tr(product.name)));
        picture->setFixedSize(pictureRoom + QSize(4, 4));
        picture->setIconSize(pictureRoom);
        connect(picture, &QPushButton::clicked, this, [this, key = product.key] { emit productShown(key); });
        beside->addWidget(picture);
        m_pictures.push_back(picture);
        box->installEventFilter(this);
        panel->body()->addWidget(row);
        m_products.push_back(box);
        connect(box, &QCheckBox::clicked, this, &PublishPanel::chooseProducts);
    }
    panel->body()->addSpacing(4);
    auto* shown = new FormGrid(76);
    m_trials->setToolTip(tr("As run01:3, run07:1 for trial 3 of run01 and trial 1 of run07; empty: of each "
                            "configuration the trial nearest to its median"));
    shown->addRow(tr("Evidence of"), m_trials);
    addWidgets(*panel->body(), {shown, m_sideBySide, m_flashing});
    m_flashing->setToolTip(tr("More than 3 flashes in a second can bring on seizures (WCAG 2.3.1). Warn viewers before "
                              "such a clip."));
    panel->setHairline(false);
    m_scrolling = new QWidget; // the button below stays in view
    auto* inside = columnIn(m_scrolling, 0);
    addWidgets(*inside, {m_moved, panel}); // what moved is what the analyst comes for after a correction
    inside->addStretch(1);
    column->addWidget(scrolled(m_scrolling), 1);

    auto* where = new Panel(tr("Into the folder"));
    where->setHairline(false);
    auto* row = new QHBoxLayout;
    row->setSpacing(8);
    m_folder->setAccessibleName(tr("Folder"));
    row->addWidget(m_folder, 1);
    auto* choose = new QPushButton(tr("Choose"));
    row->addWidget(choose);
    where->body()->addLayout(row);
    where->body()->addSpacing(4);
    m_stop->hide();
    m_outcome->setMinimumHeight(36);
    QSizePolicy room = m_outcome->sizePolicy();
    room.setRetainSizeWhenHidden(true); // its words don't move what lies around them
    m_outcome->setSizePolicy(room);
    m_outcome->hide();
    m_replace->hide();
    addWidgets(*where->body(), {m_publish, m_stop, m_outcome, m_replace});
    column->addWidget(where);

    connect(m_trials, &CommitEdit::committed, this, [this](const QString& text) {
        change(tr("choose whose evidence is shown"),
               [&](session::PublishSettings& s) { s.shownTrials = text.toStdString(); });
    });
    connect(m_sideBySide, &QCheckBox::clicked, this, [this](bool both) {
        change(tr("choose how clips are shown"), [&](session::PublishSettings& s) { s.sideBySide = both; });
    });
    connect(choose, &QPushButton::clicked, this, &PublishPanel::chooseFolder);
    connect(m_publish, &QPushButton::clicked, this, &PublishPanel::publishAsked);
    connect(m_replace, &QPushButton::clicked, this, &PublishPanel::replaceAsked);
    connect(m_stop, &QPushButton::clicked, this, &PublishPanel::stopAsked);
    connect(m_folder, &CommitEdit::committed, this, [this](const QString& text) {
        const QString stored =
            text.isEmpty() ? text : m_model.pathInSession(QDir(m_model.folder()).absoluteFilePath(text));
        change(tr("change the folder to publish into"),
               [&](session::PublishSettings& publish) { publish.folder = stored.toStdString(); });
    });
}

int PublishPanel::leastWidth() const
{
    return m_scrolling->minimumSizeHint().width() + style()->pixelMetric(QStyle::PM_ScrollBarExtent);
}

bool PublishPanel::eventFilter(QObject* watched, QEvent* event)
{
    if (event->type() == QEvent::FocusIn)
        for (std::size_t i = 0; i < m_products.size(); ++i)
            if (m_products[i] == watched)
                emit productShown(productKinds()[i].key);
    return QWidget::eventFilter(watched, event);
}

void PublishPanel::setPicture(const std::string& key, const QImage& picture, const QString& why)
{
    for (std::size_t i = 0; i < m_pictures.size(); ++i) {
        if (productKinds()[i].key != key)
            continue;
        const qreal ratio = devicePixelRatioF();
        QPixmap small;
        if (!picture.isNull()) {
            small =
                QPixmap::fromImage(picture.scaled(pictureRoom * ratio, Qt::KeepAspectRatio, Qt::SmoothTransformation));
            small.setDevicePixelRatio(ratio);
        }
        m_pictures[i]->setIcon(QIcon(small));
        m_pictures[i]->setToolTip(why);
    }
}

void PublishPanel::change(const QString& label, const std::function<void(session::PublishSettings&)>& how)
{
    m_model.changeSettings(label, [&](session::Settings& settings) { how(settings.publish); });
}

void PublishPanel::refresh()
{
    const QString stored = QString::fromStdString(m_model.document()->settings.publish.folder);
    m_folder->setValue(stored);
    m_folder->setPlaceholderText(m_model.isDraft() || m_model.path().isEmpty() ? tr("choose a folder")
                                                                               : QFileInfo(folder()).fileName());
    m_folder->setToolTip(folder());
    const session::PublishSettings& settings = m_model.document()->settings.publish;
    const PublishChoice choice{productKeys(settings)};
    m_trials->setValue(QString::fromStdString(settings.shownTrials));
    m_sideBySide->setChecked(settings.sideBySide);
    m_sideBySide->setVisible(choice.asks("clip") && m_trials->text().count(QLatin1Char(',')) == 1);
    for (std::size_t i = 0; i < m_products.size(); ++i) {
        const ProductKind& kind = productKinds()[i];
        m_products[i]->setChecked(kind.onlyAsked ? choice.asks(kind.key) : choice.has(kind.key));
    }
    m_flashing->setVisible(choice.asks("clip"));
}

bool PublishPanel::allowsFlashing() const { return m_flashing->isChecked() && m_flashing->isVisibleTo(this); }

void PublishPanel::chooseProducts()
{
    QStringList keys;
    bool usual = true;
    for (std::size_t i = 0; i < m_products.size(); ++i) {
        const ProductKind& kind = productKinds()[i];
        if (m_products[i]->isChecked())
            keys << QLatin1String(kind.key);
        usual = usual && m_products[i]->isChecked() != kind.onlyAsked;
    }
    // Nothing at all can't be published: what was taken out last stays.
    if (keys.isEmpty())
        return refresh();
    change(tr("choose what is published"), [&](session::PublishSettings& publish) {
        publish.products = usual ? std::string() : keys.join(QLatin1Char(',')).toStdString();
    });
}

QString PublishPanel::folder() const
{
    const QString stored = QString::fromStdString(m_model.document()->settings.publish.folder);
    if (!stored.isEmpty())
        return QDir::cleanPath(QDir(m_model.folder()).absoluteFilePath(stored));
    if (m_model.isDraft() || m_model.path().isEmpty())
        return {};
    return QDir(m_model.folder())
        .absoluteFilePath(tr("%1 published").arg(QFileInfo(m_model.path()).completeBaseName()));
}

void PublishPanel::chooseFolder()
{
    const QString start = folder().isEmpty() ? QDir::homePath() : folder();
    const QString chosen = QFileDialog::getExistingDirectory(this, tr("Publish into"), start);
    if (chosen.isEmpty())
        return;
    m_folder->setText(chosen);
    m_folder->commit();
}

void PublishPanel::setBusy(bool busy)
{
    // The keyboard stays where the analyst put it: from the button that goes to the one that comes.
    const bool focused = m_publish->hasFocus() || m_replace->hasFocus() || m_stop->hasFocus();
    m_busy = busy;
    m_stop->setVisible(busy);
    if (focused && busy)
        m_stop->setFocus(Qt::OtherFocusReason);
    m_publish->setEnabled(m_ready && !m_busy);
    m_publish->setText(busy ? tr("Publishing") : tr("Publish"));
    if (focused && !busy)
        m_publish->setFocus(Qt::OtherFocusReason);
    if (busy)
        m_replace->hide();
}

void PublishPanel::setReady(bool ready)
{
    if (!ready)
        setOutcome(tr("Nothing to publish yet: no trial is tagged to a configuration."), Tone::Secondary);
    else if (!m_ready)
        setOutcome({}, Tone::Secondary);
    m_ready = ready;
    m_publish->setEnabled(m_ready && !m_busy);
}

void PublishPanel::offerReplacing(const QString& sentence)
{
    setOutcome(sentence, Tone::Attention);
    m_replace->show();
}

void PublishPanel::setOutcome(const QString& sentence, Tone tone)
{
    m_replace->hide();
    m_outcome->setText(sentence);
    m_outcome->setTone(tone);
    m_outcome->setVisible(!sentence.isEmpty());
}

} // namespace ui
