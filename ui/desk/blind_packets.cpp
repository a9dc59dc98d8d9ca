#include "ui/desk/blind_packets.h"
#include "core/analysis/blind_reading.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/look/label.h"
#include "ui/model/file_paths.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QPushButton>
#include <QRandomGenerator>
#include <QSpinBox>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

QStringList broughtInWords(const analysis::IncomingReadings& incoming)
{
    QString first = incoming.readings.empty()
                        ? BlindPackets::tr("No reading was brought in")
                        : BlindPackets::tr("%1 by %2 brought in")
                              .arg(BlindPackets::tr("%n reading(s)", nullptr, int(incoming.readings.size())),
                                   QString::fromStdString(incoming.reader));
    if (incoming.alreadyHere > 0)
        first += BlindPackets::tr(", %1 were here already").arg(incoming.alreadyHere);
    if (incoming.notRead > 0)
        first += BlindPackets::tr(", %1 not read in the packet yet")
                     .arg(BlindPackets::tr("%n trial(s)", nullptr, incoming.notRead));
    QStringList lines{first + QLatin1Char('.')};
    for (const auto* sentences : {&incoming.refused, &incoming.notes})
        for (const std::string& sentence : *sentences)
            lines << QString::fromStdString(sentence);
    return lines;
}

BlindPackets::BlindPackets(SessionModel& model, QWidget& window) : QObject(&window), m_model(model), m_window(window)
{
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_busy = false;
    });
}

void BlindPackets::handOut()
{
    const auto document = m_model.document();
    const std::string lacks = analysis::rereadProblem(*document);
    if (!lacks.empty()) {
        emit problem(QString::fromStdString(lacks));
        return;
    }
    auto* footage = new QComboBox;
    footage->setObjectName(QStringLiteral("packetFootage"));
    footage->addItems(
        {tr("copied into the packet, under other names"), tr("listed: the reader has it at the same place")});
    const ShareDialog ask = shareDialog(
        m_window, *document, tr("Hand out a blind packet"),
        tr("A folder that a second reader opens with this program on another machine: trials in shuffled order, "
           "without marks, names of configurations or delays. He reads them and sends the folder back; Trial > Bring "
           "in readings takes them in."),
        tr("Choose a folder..."), [](int count, int all) { return tr("%1 of %2 that are read.").arg(count).arg(all); },
        [this, footage](QDialog& dialog, double share) {
            packets::Order order;
            order.share = share;
            order.copies = footage->currentIndex() == 0;
            order.notToBeRead = m_model.notToBeRead();
            order.seed = QRandomGenerator::global()->bounded(1'000'000'000);
            dialog.accept();
            QFileDialog* where = fileDialog(m_window, m_model, tr("Folder of the packet"), QFileDialog::AnyFile);
            where->setAcceptMode(QFileDialog::AcceptSave);
            where->selectFile(tr("blind packet"));
            connect(where, &QFileDialog::fileSelected, this,
                    [this, order](const QString& folder) { handOutTo(folder, order); });
            where->open();
        });
    ask.share->setObjectName(QStringLiteral("packetShare"));
    ask.form->addRow(tr("Footage"), footage);
    ask.dialog->open();
}

void BlindPackets::handOutTo(const QString& folder, const packets::Order& order)
{
    if (m_busy)
        return;
    m_busy = true;
    const auto document = m_model.document();
    emit said(tr("The packet is being written."));
    m_worker.run(
        [document, order, from = toPath(m_model.folder()), to = toPath(folder)](std::stop_token stop) {
            return packets::handOut(*document, from, to, order, stop);
        },
        [this, folder](const packets::HandedOut& written) {
            m_busy = false;
            const session::Packet& packet = written.record;
            for (const std::string& note : written.notes)
                emit problem(QString::fromStdString(note));
            if (m_model.edit([&](const session::Document& latest) { return session::handOutPacket(latest, packet); }))
                emit said(tr("The packet of %1 is in %2; give that folder to the second reader.")
                              .arg(tr("%n trial(s)", nullptr, int(packet.trials.size())), folder));
        },
        [this](const QString& sentence) {
            m_busy = false;
            emit problem(sentence);
        });
}

void BlindPackets::bringIn()
{
    QFileDialog* dialog = fileDialog(m_window, m_model, tr("Packet that the second reader has sent back"),
                                     QFileDialog::ExistingFile, {tr("Sessions (*.tallyframe)"), tr("All files (*)")});
    connect(dialog, &QFileDialog::fileSelected, this, &BlindPackets::bringInFrom);
    dialog->open();
}

void BlindPackets::bringInFrom(const QString& path)
{
    const auto evidence = m_model.evidence();
    if (m_busy || !evidence) // it is being closed
        return;
    m_busy = true;
    m_worker.run(
        [document = m_model.document(), folder = toPath(m_model.folder()), evidence, packet = toPath(path),
         left = m_model.notToBeRead()](std::stop_token stop) {
            return packets::bringIn(*document, folder, *evidence, packet, left, stop);
        },
        [this](const analysis::IncomingReadings& incoming) {
            m_busy = false;
            if (!incoming.readings.empty() && !m_model.edit([&](const session::Document& latest) {
                    return session::bringInReadings(latest, incoming.readings, incoming.reader);
                }))
                return;
            const QStringList words = broughtInWords(incoming);
            if (incoming.refused.empty() && !incoming.readings.empty())
                emit said(words.join(QLatin1Char(' ')));
            else
                emit problem(words.join(QLatin1Char(' ')));
            if (!incoming.rejects.empty() && !m_model.readOnly())
                askAboutRejects(incoming);
        },
        [this](const QString& sentence) {
            m_busy = false;
            emit problem(sentence);
        });
}

/// A reject takes a trial out of the statistics, so the analyst decides on it, and undo takes it back.
void BlindPackets::askAboutRejects(const analysis::IncomingReadings& incoming)
{
    auto* dialog = new QDialog(&m_window);
    dialog->setObjectName(QStringLiteral("packetRejects"));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Trials the second reader rejects"));
    auto* column = new QVBoxLayout(dialog);
    column->setSpacing(12);
    const session::Document& document = *m_model.document();
    constexpr std::size_t listed = 12;
    QStringList lines;
    for (const session::BroughtReject& one : incoming.rejects)
        if (lines.size() < qsizetype(listed))
            lines << tr("%1: %2").arg(QString::fromStdString(session::trialName(document, one.trial)),
                                      QString::fromLatin1(session::label(one.reject.reason))
                                          + (one.reject.note.empty()
                                                 ? QString()
                                                 : QStringLiteral(", ") + QString::fromStdString(one.reject.note)));
    if (incoming.rejects.size() > listed)
        lines << tr("and %1 more").arg(incoming.rejects.size() - listed);
    auto* words =
        wrapping(tr("%1 rejects %2 that count here. Rejecting them takes them out of the statistics, with the "
                    "reader's reasons; undo takes it back.")
                     .arg(incoming.reader.empty() ? tr("The second reader") : QString::fromStdString(incoming.reader),
                          tr("%n trial(s)", nullptr, int(incoming.rejects.size()))));
    words->setMinimumWidth(420);
    column->addWidget(words);
    auto* trials = wrapping(lines.join(QLatin1Char('\n')));
    trials->setTextFormat(Qt::PlainText);
    column->addWidget(trials);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
    buttons->button(QDialogButtonBox::Ok)->setText(tr("Reject them"));
    buttons->button(QDialogButtonBox::Cancel)->setText(tr("Leave them in"));
    buttons->button(QDialogButtonBox::Cancel)->setDefault(true);
    column->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    connect(buttons, &QDialogButtonBox::accepted, dialog,
            [this, dialog, rejects = incoming.rejects, reader = incoming.reader] {
                dialog->accept();
                m_model.edit(
                    [&](const session::Document& latest) { return session::takeRejects(latest, rejects, reader); });
            });
    dialog->open();
}

} // namespace ui
