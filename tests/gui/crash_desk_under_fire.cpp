// The real window on a session file, worked by real keys in a seeded random order until it is killed. Whenever the
// window has taken up another state it says so on standard output: "shown", with the checksum of what it shows.
// Whatever the window reports as a problem it says too.
//     desk_under_fire SESSION SEED
#include "core/session/file_format.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/look.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QCryptographicHash>
#include <QLineEdit>
#include <QPushButton>
#include <QTest>
#include <random>
#include <unistd.h>

namespace {

/// One write() a line, so that no line is torn by being killed.
void say(const QByteArray& line)
{
    const QByteArray whole = line + '\n';
    if (::write(STDOUT_FILENO, whole.constData(), static_cast<std::size_t>(whole.size())) != whole.size())
        std::_Exit(3);
}

/// Keys that belong together, as a hand at the desk strikes them.
using Phrase = QList<QKeySequence>;

Phrase keys(const char* names)
{
    Phrase phrase;
    const auto each = QString::fromLatin1(names).split(QLatin1Char(' '));
    for (const QString& name : each)
        phrase << QKeySequence(name);
    return phrase;
}

const std::pair<Phrase, int> phrases[] = {
    // with how often they come
    {keys("F Right Right Right R Return"), 8},
    {keys("F Right N Return"), 1},
    {keys("Shift+Right F"), 2},
    {keys("Right Right R"), 2},
    {keys("Left Left Left"), 1},
    {keys("Home"), 1},
    {keys("D"), 3},
    {keys("X T Return"), 2}, // reject: torn
    {keys("X H Return"), 1}, // reject: hidden
    {keys("X K"), 1},        // keep after all, where it was rejected
    {keys("Esc"), 2},
    {keys("1"), 2},
    {keys("2"), 2},
    {keys("3"), 2},
    {keys("T L I T Return"), 2}, // a note
    {keys("PgUp"), 2},
    {keys("PgDown D"), 2},
    {keys("Backspace"), 2},
    {keys("Del"), 2},
    {keys("Ctrl+Z"), 4},
    {keys("Ctrl+Z Ctrl+Z Ctrl+Z"), 1},
    {keys("Ctrl+Shift+Z"), 3},
    {keys("Ctrl+D"), 1},
    {keys("Ctrl+S"), 2},
};

class Hand {
public:
    Hand(QWidget& window, std::uint64_t seed) : m_window(window), m_random(seed)
    {
        for (const auto& [phrase, often] : phrases)
            for (int i = 0; i < often; ++i)
                m_choices << &phrase;
    }

    void strikePhrase()
    {
        if (qobject_cast<QLineEdit*>(QApplication::focusWidget()))
            QTest::keyClick(QApplication::focusWidget(), Qt::Key_Return); // a note left half written
        const Phrase& phrase = *m_choices[below(static_cast<int>(m_choices.size()))];
        for (const QKeySequence& key : phrase) {
            QWidget* focus = QApplication::focusWidget();
            QTest::keyClick(focus ? focus : &m_window, key[0].key(), key[0].keyboardModifiers());
            if (below(3) == 0)
                QCoreApplication::processEvents();
        }
    }
    int below(int bound) { return std::uniform_int_distribution<int>(0, bound - 1)(m_random); }

private:
    QWidget& m_window;
    std::mt19937_64 m_random;
    QVector<const Phrase*> m_choices;
};

/// Says what the window shows, once it does.
class Witness : public QObject {
public:
    Witness(ui::SessionModel& model, ui::MainWindow& window) : m_model(model)
    {
        // Made after the window, so the window's own views have taken up the change when this is called.
        connect(&model, &ui::SessionModel::changed, this, [this] { tell(); });
        const auto buttons = window.findChildren<QPushButton*>();
        for (QPushButton* button : buttons)
            if (button->text().startsWith(QLatin1String("Undo")))
                m_undo = button;
        if (!m_undo)
            fail("there is no button for undo");
    }

    void tell()
    {
        m_undo->repaint(); // on screen when this returns
        const QString label = m_model.undoLabel();
        if (!m_model.pending()
            && (m_undo->isHidden() != label.isEmpty() || (!label.isEmpty() && !m_undo->toolTip().endsWith(label))))
            fail("the window shows \"" + m_undo->toolTip().toUtf8() + "\" where undo does \"" + label.toUtf8() + '"');
        say("shown "
            + QCryptographicHash::hash(session::toJson(*m_model.document()), QCryptographicHash::Sha256).toHex());
    }

private:
    [[noreturn]] static void fail(const QByteArray& what)
    {
        say("failed " + what);
        std::_Exit(2);
    }
    ui::SessionModel& m_model;
    QPushButton* m_undo = nullptr;
};

} // namespace

int main(int count, char** arguments)
{
    QApplication application(count, arguments);
    QCoreApplication::setApplicationName(QStringLiteral("tallyframe"));
    if (count != 3)
        return 2;
    ui::applyLook(application);
    ui::SessionModel model;
    QObject::connect(&model, &ui::SessionModel::problem,
                     [](const QString& sentence) { say("problem " + sentence.toUtf8()); });
    ui::FootagePool pool;
    model.open(QString::fromLocal8Bit(arguments[1]));
    if (!QTest::qWaitFor([&] { return model.phase() == ui::SessionModel::Phase::Open; }, 60000))
        return 2;
    ui::MainWindow window(model, pool);
    window.show();
    if (!QTest::qWaitForWindowActive(&window))
        return 4;
    Witness witness(model, window);
    witness.tell();
    Hand hand(window, QByteArray(arguments[2]).toULongLong());
    for (;;) {
        hand.strikePhrase();
        QCoreApplication::processEvents(QEventLoop::AllEvents, hand.below(12));
    }
}
