#include "ui/desk/blind_packets.h"
#include "core/error.h"
#include "core/media/index/parts.h"
#include "core/analysis/blind_reading.h"
#include "core/reading/same_footage.h"
#include "core/session/packet_files.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/look/label.h"
#include "ui/model/file_paths.h"
#include "ui/model/footage_folders.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QPushButton>
#include <QRandomGenerator>
#include <QSpinBox>
#include <QVBoxLayout>
#include <algorithm>
#include <map>
#include <random>

namespace ui {
namespace {

namespace fs = std::filesystem;

std::string token()
{
    std::random_device chance;
    std::string hex;
    for (int i = 0; i < 32; ++i)
        hex += "0123456789abcdef"[chance() % 16];
    return hex;
}

/// Why footage isn't to leave this machine; empty where it is what the session was read from, or isn't there at all,
/// which copying says.
std::string whyNotCopied(const session::Capture& capture, const std::vector<fs::path>& sources,
                         const PacketOrder& order, const std::stop_token& stop)
{
    if (order.notToBeRead.contains(capture.id))
        return notAskedSentence(capture.name);
    const auto isThere = [](const fs::path& path) {
        std::error_code ignored;
        return fs::exists(path, ignored);
    };
    const std::string begin = "The footage of " + capture.name + " isn't in the packet: ";
    if (!std::ranges::all_of(sources, isThere))
        return {};
    if (capture.sha256.empty())
        return begin + "its checksum isn't known yet; open the session and let it finish.";
    if (media::partsSha256(sources, stop) == capture.sha256)
        return {};
    return begin + "what lies at " + sources.front().string() + " isn't what was read, by its checksum.";
}

/// Where the packet finds its footage; fills in what is to be copied and what isn't.
session::Document placed(const analysis::BlindPacket& packet, const session::Document& document, const fs::path& folder,
                         const PacketOrder& order, const std::stop_token& stop, std::vector<session::PacketFile>& files,
                         std::vector<std::string>& notes)
{
    session::Document placed = packet.document;
    for (const analysis::PacketFootage& footage : packet.footage) {
        const session::Capture& source = *session::find(document, footage.from);
        const std::vector<fs::path> sources = reading::footageOf(source, folder);
        const std::string why = order.copies ? whyNotCopied(source, sources, order, stop) : std::string();
        if (!why.empty())
            notes.push_back(why);
        std::vector<std::string> paths;
        for (std::size_t i = 0; i < sources.size(); ++i) {
            const fs::path& absolute = sources[i];
            // The checksum of a recording in parts goes by the names of its files, so those stay.
            std::string path =
                "footage/" + footage.name
                + (sources.size() > 1 ? "/" + absolute.filename().string() : absolute.extension().string());
            if (order.copies && why.empty())
                files.push_back({absolute, path});
            else if (!order.copies)
                path = absolute.string();
            paths.push_back(std::move(path));
        }
        session::Capture capture = *session::find(placed, footage.to);
        capture.path = paths.front();
        for (std::size_t i = 1; i < paths.size(); ++i)
            capture.furtherParts[i - 1].path = paths[i];
        placed.captures[footage.to] = std::make_shared<const session::Capture>(std::move(capture));
    }
    return placed;
}

/// Compares marks with the pictures themselves. Footage that isn't here can't be asked; its checksum and the marks that
/// are here have to do.
void comparePictures(analysis::IncomingReadings& incoming, const session::Document& document, const fs::path& folder,
                     const std::set<session::CaptureId>& notToBeRead, std::stop_token stop)
{
    std::map<session::CaptureId, std::set<session::MarkedPicture>> marked;
    for (const analysis::PictureToCheck& picture : incoming.pictures)
        marked[picture.capture].emplace(picture.frame, picture.md5);
    std::vector<std::pair<std::size_t, std::string>> wrong;
    for (const auto& [id, pictures] : marked) {
        const session::Capture& capture = *session::find(document, id);
        const auto others =
            notToBeRead.contains(id) ? std::nullopt : reading::notShown(pictures, capture, folder, stop);
        if (!others)
            incoming.notes.push_back("The footage of " + capture.name
                                     + " isn't here, so its marks were compared by checksum only.");
        for (const analysis::PictureToCheck& picture : incoming.pictures)
            if (others && picture.capture == id && others->contains({picture.frame, picture.md5}))
                wrong.emplace_back(picture.reading,
                                   "A reading of "
                                       + session::trialName(document, incoming.readings[picture.reading].trial)
                                       + " wasn't brought in: frame " + std::to_string(picture.frame.value)
                                       + " of its footage here shows another picture than was marked.");
    }
    analysis::refuseReadings(incoming, wrong);
}

} // namespace

WrittenPacket writeBlindPacket(const session::Document& asSaved, const fs::path& sessionFolder,
                               const fs::path& packetFolder, const PacketOrder& order, std::stop_token stop,
                               const std::function<void(std::int64_t, std::int64_t)>& progress)
{
    const session::Document document = reading::withChecksums(asSaved, sessionFolder, order.notToBeRead, stop);
    if (document.settings.reread && !document.settings.reread->packet.empty())
        throw core::Error(core::ErrorKind::AtOdds,
                          "This session is a blind packet itself; hand out packets from the session it came from.");
    if (const std::string problem = analysis::rereadProblem(document); !problem.empty())
        throw core::Error(core::ErrorKind::AtOdds, problem);
    const analysis::BlindPacket packet = analysis::blindPacket(document, order.share, order.seed, token());
    WrittenPacket written{packet.record, {}};
    std::vector<session::PacketFile> files;
    const session::Document there = placed(packet, document, sessionFolder, order, stop, files, written.notes);
    session::writePacket(packetFolder, there, files, stop, progress);
    return written;
}

analysis::IncomingReadings readBlindPacket(const session::Document& asSaved, const fs::path& sessionFolder,
                                           session::EvidenceStore& evidence, const fs::path& packet,
                                           const std::set<session::CaptureId>& notToBeRead, std::stop_token stop)
{
    std::error_code ignored;
    const fs::path file = fs::is_directory(packet, ignored) ? session::packetSession(packet) : packet;
    const session::Document read = session::readSession(file);
    const session::Document document = reading::withChecksums(asSaved, sessionFolder, notToBeRead, stop);
    analysis::IncomingReadings incoming = analysis::incomingReadings(document, read);
    comparePictures(incoming, document, sessionFolder, notToBeRead, stop);
    if (const int left = session::takeCrops(file, evidence, incoming.readings); left > 0)
        incoming.notes.push_back(
            std::to_string(left)
            + " of the packet's evidence pictures aren't there or were changed; the marks came in without them.");
    return incoming;
}

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
            PacketOrder order;
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

void BlindPackets::handOutTo(const QString& folder, const PacketOrder& order)
{
    if (m_busy)
        return;
    m_busy = true;
    const auto document = m_model.document();
    emit said(tr("The packet is being written."));
    m_worker.run(
        [document, order, from = toPath(m_model.folder()), to = toPath(folder)](std::stop_token stop) {
            return writeBlindPacket(*document, from, to, order, stop);
        },
        [this, folder](const WrittenPacket& written) {
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
            return readBlindPacket(*document, folder, *evidence, packet, left, stop);
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
