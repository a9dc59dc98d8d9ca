#include "ui/publish/publish_page.h"
#include "core/session/edits.h"
#include "core/error.h"
#include "core/report/chart_model.h"
#include "ui/chart/chart_layout.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/look/own_keys.h"
#include "ui/model/disk_jobs.h"
#include "ui/model/file_paths.h"
#include "ui/publish/chart_preview.h"
#include "ui/publish/chart_settings.h"
#include "ui/publish/earlier_panel.h"
#include "ui/publish/moved_list.h"
#include "ui/publish/product_pictures.h"
#include "ui/publish/publish.h"
#include "ui/publish/publish_panel.h"
#include "ui/publish/sentence_list.h"

#include <QCheckBox>
#include <QCoreApplication>
#include <QDir>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <map>

namespace ui {

namespace {

constexpr int fewNames = 6;

} // namespace

class PublishPage::Impl {
public:
    Impl(PublishPage& page, SessionModel& model, SessionResults& results)
        : m_page(page), m_model(model), m_results(results)
    {
        showGutters(page);
        auto* row = rowIn(&page, 1);
        m_panel = new PublishPanel(model);
        m_settings = new ChartSettings(model);
        m_right = scrolled(m_settings);
        row->addWidget(m_panel);
        row->addWidget(middle(), 1);
        row->addWidget(m_right);

        QObject::connect(&results, &SessionResults::changed, &page, [this] {
            if (m_page.isVisible())
                refresh();
        });
        QObject::connect(&model, &SessionModel::changed, &page, [this] {
            if (m_publishWhenAccepted && !m_model.pending())
                start();
        });
        QObject::connect(&model, &SessionModel::sessionReplaced, &page, [this] {
            m_published.clear();
            m_lastMoved = {};
            m_panel->moved().clear();
            m_drawing.request_stop();
            m_drawn.reset();
            m_pictures.clear();
            for (const ProductKind& kind : productKinds())
                m_panel->setPicture(kind.key, {}, {});
            m_publishWhenAccepted = false;
            m_panel->setOutcome({}, Tone::Secondary);
        });
        QObject::connect(m_panel, &PublishPanel::productShown, &page, [this](const std::string& key) {
            m_shown = key;
            showProduct();
        });
        QObject::connect(m_settings, &ChartSettings::remedyAsked, &page, [this](Remedy remedy, qint64 at) {
            switch (remedy) {
            case Remedy::Trial: return emit m_page.trialAsked(at);
            case Remedy::Capture: return emit m_page.captureAsked(at);
            case Remedy::Clock: return emit m_page.clockAsked(at);
            case Remedy::Plan: return emit m_page.goTo(QStringLiteral("Plan"));
            case Remedy::Results: return emit m_page.goTo(QStringLiteral("Results"));
            default: return emit m_page.goTo(QStringLiteral("Read"));
            }
        });
        QObject::connect(m_panel, &PublishPanel::publishAsked, &page, [this] { publishAsked(false); });
        QObject::connect(m_panel, &PublishPanel::replaceAsked, &page, [this] { publishAsked(true); });
        QObject::connect(m_panel, &PublishPanel::stopAsked, &page, [this] { stop(); });
        m_panel->refresh();
    }

    QWidget* middle()
    {
        auto* middle = new QWidget;
        showPanel(*middle);
        auto* bar = new QHBoxLayout;
        bar->setSpacing(8);
        bar->setContentsMargins(grid::padding, 4, grid::padding, 4);
        m_shownName = new Label({}, Text::Body, Tone::Primary, QFont::DemiBold);
        bar->addWidget(m_shownName);
        m_scale = new Label({}, Text::State, Tone::Secondary);
        bar->addWidget(m_scale);
        bar->addStretch(1);
        m_safeArea = new QCheckBox(tr("safe area"));
        m_safeArea->setChecked(true);
        m_safeArea->setToolTip(tr("Where titles and graphics are seen whole: 5 % from each edge (EBU R 95)"));
        bar->addWidget(m_safeArea);
        m_preview = new ChartPreview;
        auto* column = columnIn(middle, 0);
        column->addLayout(bar);
        column->addWidget(m_preview);
        m_sentences = new SentenceList(m_model);
        column->addWidget(m_sentences, 1);
        QObject::connect(m_safeArea, &QCheckBox::toggled, &m_page, [this](bool on) { m_preview->setSafeArea(on); });
        QObject::connect(m_preview, &ChartPreview::scaled, &m_page, [this] { showScale(); });
        return middle;
    }

    void showScale()
    {
        const session::PublishSettings& publish = m_model.document()->settings.publish;
        m_scale->setText(
            tr("%1 \u00d7 %2, shown at %3 %").arg(publish.width).arg(publish.height).arg(m_preview->percent()));
    }

    /// What is known by now; early looks count what is seen.
    void refresh()
    {
        if (!m_results.any())
            return;
        const KnownResults& known = m_results.known();
        const report::ChartModel chart = report::chartModel(*known.document, *known.results);
        // A theme that can't be read is said among the checks; the chart shows without it meanwhile.
        ChartStyle style;
        QVector<PublishCheck> problems;
        try {
            style = styleOf(known.document->settings.publish);
        } catch (const core::Error& error) {
            session::PublishSettings without = known.document->settings.publish;
            without.ownTheme.clear();
            style = styleOf(without);
            problems << PublishCheck{false, tr("the theme can't be used"), QString::fromUtf8(error.what()),
                                     Remedy::OwnTheme};
        }
        const std::vector<ChartScene> scenes = layOutChart(chart, style);
        m_ready = anythingToPublish(*known.results);
        m_chart = m_ready ? scenes.front() : ChartScene();
        showProduct();
        drawPictures();
        m_panel->setReady(m_ready);
        m_sentences->show(*known.document, *known.results);
        m_settings->refresh(chart, problems + publishChecks(*known.document, *known.results, scenes, style));
        layOut(m_page.size());
        m_panel->refresh();
        if (m_lookDue && m_results.upToDate()) {
            m_lookDue = false;
            m_results.recordEarlyLook();
        }
        lookWhatMoved();
        emit m_page.stateChanged();
    }

    /// The product that the analyst came to last, large.
    void showProduct()
    {
        for (const ProductKind& kind : productKinds())
            if (kind.key == m_shown)
                m_shownName->setText(QCoreApplication::translate("ui::PublishPanel", kind.name));
        const session::PublishSettings& publish = m_model.document()->settings.publish;
        if (m_shown == "chart")
            m_preview->show(m_chart);
        else
            m_preview->show(m_pictures[m_shown], {publish.width, publish.height});
    }

    /// Of all products, on a thread of its own, for footage may lie on a disk that doesn't answer. What the session
    /// becomes meanwhile stops it and is drawn next.
    void drawPictures()
    {
        const KnownResults& known = m_results.known();
        if (!m_ready || known.document == m_drawn)
            return;
        m_drawing.request_stop();
        m_drawing = std::stop_source();
        m_drawn = known.document;
        m_jobs.run(
            [this, known, mailbox = m_mailbox, stop = m_drawing.get_token(), source = pictureSource()] {
                PublishChoice choice;
                try {
                    choice = choiceOf(*known.document);
                } catch (const core::Error&) {
                    // A trial that isn't there: the typical ones stand in; publishing says what is wrong.
                }
                for (const ProductKind& kind : productKinds()) {
                    QImage picture;
                    QString why;
                    try {
                        picture = productPicture(kind.key, *known.document, *known.results, choice, source, stop);
                    } catch (const core::Cancelled&) {
                        return 0;
                    } catch (const core::Error& error) {
                        why = QString::fromUtf8(error.what());
                    }
                    mailbox.post([=, this, key = std::string(kind.key)] {
                        if (!stop.stop_requested())
                            drawn(key, picture, why);
                    });
                }
                return 0;
            },
            [](int) {}, [](const QString&) {});
    }

    void drawn(const std::string& key, const QImage& picture, const QString& why)
    {
        m_pictures[key] = picture;
        m_panel->setPicture(key, picture, why);
        if (key == m_shown)
            showProduct();
    }

    PictureSource pictureSource() const
    {
        return {toPath(m_model.folder()), m_model.evidence(), {}, m_model.notToBeRead()};
    }

    PublishInto into() const
    {
        return {toPath(m_panel->folder()), m_model.isDraft() ? std::string() : m_model.title().toStdString()};
    }

    /// Against what the folder holds. One look at a time; what changes meanwhile is looked at after it.
    void lookWhatMoved()
    {
        m_lookAgain = m_looking;
        if (m_looking || m_panel->folder().isEmpty())
            return;
        m_looking = true;
        m_jobs.run(
            [known = m_results.known(), into = into(),
             version = QCoreApplication::applicationVersion().toStdString()]() -> std::optional<report::Changes> {
                const auto earlier = publishedIn(into);
                if (!earlier)
                    return std::nullopt;
                return report::changesBetween(
                    *earlier, report::publishedState(*known.document, *known.results, into.session, version));
            },
            [this](const std::optional<report::Changes>& changes) { lookedWhatMoved(changes); },
            [this](const QString&) { lookedWhatMoved({}); }); // publishing will say what is wrong with the folder
    }

    void lookedWhatMoved(const std::optional<report::Changes>& changes)
    {
        m_looking = false;
        if (m_lookAgain)
            return lookWhatMoved();
        const bool pending = changes && !changes->empty();
        m_panel->moved().show(pending ? *changes : changes ? m_lastMoved : report::Changes(), !pending);
    }

    void enter()
    {
        m_lookDue = true;
        refresh();
    }

    /// What is being typed goes out as well, so publishing waits until the door has answered.
    void publishAsked(bool replaceForeign)
    {
        if (m_busy || !m_ready)
            return;
        m_replaceForeign = replaceForeign;
        m_settings->commit();
        m_sentences->commit();
        for (auto* edit : m_panel->findChildren<CommitEdit*>())
            edit->commit();
        if (m_model.pending())
            m_publishWhenAccepted = true;
        else
            start();
    }

    void start()
    {
        m_publishWhenAccepted = false;
        if (m_panel->folder().isEmpty())
            m_panel->chooseFolder();
        if (m_panel->folder().isEmpty()) {
            m_publishWhenAccepted = m_model.pending(); // a folder was chosen just now
            return;
        }
        const QString folder = m_panel->folder();
        const auto document = m_model.document();
        PublishInto into = this->into();
        into.replaceForeign = std::exchange(m_replaceForeign, false);
        PublishRun run;
        if (m_results.known().document == document)
            run.results = m_results.known().results;
        m_stop = std::stop_source();
        run.stop = m_stop.get_token();
        try {
            run.choice = choiceOf(*document);
        } catch (const core::Error& error) {
            return m_panel->setOutcome(QString::fromUtf8(error.what()), Tone::Attention);
        }
        run.choice.flashing = m_panel->allowsFlashing();
        setBusy(true);
        m_panel->setOutcome(tr("Making the products"), Tone::Secondary);
        run.pictures = pictureSource();
        run.progress = [this, mailbox = m_mailbox](std::size_t written, std::size_t all) {
            mailbox.post([=, this] {
                if (m_busy && !m_stop.stop_requested())
                    m_panel->setOutcome(tr("%1 of %2 written").arg(written).arg(all), Tone::Secondary);
            });
        };
        run.making = [this, mailbox = m_mailbox, last = std::make_shared<QString>()](const QString& what, int done,
                                                                                     int of) {
            const QString sentence =
                of > 0 ? tr("Making %1, %2 %").arg(what).arg(100 * done / of) : tr("Making %1").arg(what);
            if (std::exchange(*last, sentence) == sentence)
                return; // at most a hundred of each
            mailbox.post([=, this] {
                if (m_busy && !m_stop.stop_requested())
                    m_panel->setOutcome(sentence, Tone::Secondary);
            });
        };
        m_jobs.run(
            [document, into, run, version = QCoreApplication::applicationVersion().toStdString()] {
                Outcome outcome;
                try {
                    outcome.written = publish(*document, into, version, run);
                } catch (const core::Cancelled&) {
                    outcome.stopped = true;
                } catch (const core::Error& error) {
                    if (error.kind() != core::ErrorKind::Refused)
                        throw;
                    outcome.refused = QString::fromUtf8(error.what());
                }
                return outcome;
            },
            [this, folder, session = m_model.path()](const Outcome& outcome) {
                if (!outcome.stopped && outcome.refused.isEmpty())
                    putOnRecord(session, outcome.written.record);
                ended(folder, outcome);
            },
            [this](const QString& sentence) { failed(sentence); });
    }

    void setBusy(bool busy)
    {
        m_busy = busy;
        m_panel->setBusy(busy);
    }

    void stop()
    {
        m_stop.request_stop();
        m_panel->setOutcome(tr("Stopping"), Tone::Secondary);
    }

    /// Unless another session is open by now.
    void putOnRecord(const QString& session, const session::Publication& record)
    {
        if (m_model.path() == session && !m_model.readOnly())
            m_model.edit([&](const session::Document& latest) { return session::recordPublication(latest, record); });
    }

    struct Outcome {
        Published written;
        bool stopped = false;
        QString refused; ///< files of somebody else are in the way
    };

    void ended(const QString& folder, const Outcome& outcome)
    {
        if (!outcome.stopped && outcome.refused.isEmpty())
            return published(folder, outcome.written);
        setBusy(false);
        if (outcome.stopped)
            m_panel->setOutcome(tr("Stopped; what was published earlier stays as it was."), Tone::Secondary);
        else
            m_panel->offerReplacing(outcome.refused);
        emit m_page.stateChanged();
    }

    void published(const QString& folder, const Published& written)
    {
        setBusy(false);
        for (const std::string& report : written.reports)
            emit m_page.problem(QString::fromStdString(report));
        const auto& files = written.files;
        QStringList names;
        for (const std::string& name : written.rewritten)
            names << QString::fromStdString(name);
        const auto left = qint64(files.size() - written.rewritten.size());
        const QString where = QDir::toNativeSeparators(folder);
        // A few names tell what one mark changed; many would push the page away.
        const QString which =
            names.size() <= fewNames ? QStringLiteral(": ") + names.join(QStringLiteral(", ")) : QString();
        QString outcome =
            names.isEmpty() ? tr("Nothing changed: all of %1 is as it was published.").arg(where)
                            : tr("%1 written into %2%3.").arg(counted(qint64(names.size()), tr("file")), where, which);
        if (left > 0 && !names.isEmpty())
            outcome += QLatin1Char(' ') + tr("%1 as before.").arg(counted(left, tr("file")));
        m_panel->setOutcome(outcome, Tone::Primary);
        m_lastMoved = written.moved;
        lookWhatMoved();
        m_published = folder;
        emit m_page.stateChanged();
    }

    void failed(const QString& sentence)
    {
        setBusy(false);
        m_panel->setOutcome(sentence, Tone::Attention);
        emit m_page.problem(sentence);
    }

    void layOut(const QSize& size)
    {
        const bool wide = size.width() >= 1600;
        const int left = wide ? 324 : 250, right = wide ? 412 : 270;
        m_panel->setFixedWidth(left);
        m_right->setFixedWidth(right);
        // The preview takes its shape's height, but leaves room for some sentences.
        m_preview->setFixedHeight(
            std::min(m_preview->heightFor(size.width() - left - right - 2), size.height() * 2 / 3));
    }

    PublishPage& m_page;
    SessionModel& m_model;
    SessionResults& m_results;
    PublishPanel* m_panel;
    ChartSettings* m_settings;
    ChartPreview* m_preview = nullptr;
    SentenceList* m_sentences = nullptr;
    QWidget* m_right = nullptr;
    QCheckBox* m_safeArea = nullptr;
    Label* m_scale = nullptr;
    QString m_published; ///< folder published into since the session was opened
    bool m_ready = false, m_busy = false, m_publishWhenAccepted = false;
    Label* m_shownName = nullptr;
    std::string m_shown = "chart"; ///< key of the product in the middle
    ChartScene m_chart;
    std::map<std::string, QImage> m_pictures;         ///< by product
    std::shared_ptr<const session::Document> m_drawn; ///< what they are of, or will be
    std::stop_source m_drawing;
    report::Changes m_lastMoved; ///< by the last publishing since the session was opened
    bool m_looking = false, m_lookAgain = false;
    bool m_lookDue = false; ///< the page has been entered and its results not been seen yet
    bool m_replaceForeign = false;
    std::stop_source m_stop;
    // Last: what they deliver uses all of the above. A disk that doesn't answer isn't waited for.
    Mailbox m_mailbox;
    DiskJobs m_jobs;
};

PublishPage::PublishPage(SessionModel& model, SessionResults& results, QWidget* parent)
    : PageToPublish(parent), m_impl(std::make_unique<Impl>(*this, model, results))
{
    tellRefusals();
}

PublishPage::~PublishPage()
{
    m_impl->m_stop.request_stop();
    m_impl->m_drawing.request_stop();
    m_impl->m_mailbox.close();
}

QString PublishPage::name() const { return QStringLiteral("Publish"); }

QString PublishPage::stateLine() const
{
    return m_impl->m_published.isEmpty() ? tr("chart, tables, sentences")
                                         : tr("published to %1").arg(QDir(m_impl->m_published).dirName());
}

QVector<KeyHint> PublishPage::keys() const
{
    return {
        {{QStringLiteral("Ctrl"), QStringLiteral("E")}, tr("publish")},
        {{QStringLiteral("S")}, tr("safe area")},
        {{QStringLiteral("A")}, tr("add an earlier session")},
        {{QStringLiteral("1\u20269")}, tr("help with a finding")},
        {{QStringLiteral("Tab")}, tr("next control")},
    };
}

void PublishPage::entered()
{
    m_impl->enter();
    setFocus(Qt::OtherFocusReason);
}

void PublishPage::keyPressEvent(QKeyEvent* event)
{
    if (isPublishKey(*event))
        m_impl->publishAsked(false);
    else if (!event->modifiers() && keys::delivered(event->key()) == Qt::Key_S)
        m_impl->m_safeArea->toggle();
    else if (!event->modifiers() && keys::delivered(event->key()) == Qt::Key_A)
        m_impl->m_settings->earlier().choose();
    else if (!event->modifiers() && m_impl->m_settings->remedy(event->key() - Qt::Key_0))
        return;
    else
        Page::keyPressEvent(event);
}

void PublishPage::resizeEvent(QResizeEvent* event)
{
    m_impl->layOut(size());
    Page::resizeEvent(event);
}

} // namespace ui
