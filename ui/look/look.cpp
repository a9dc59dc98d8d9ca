#include "ui/look/look.h"

#include "core/error.h"
#include "ui/look/look_style.h"
#include "ui/look/style_paint.h"

#include <QAbstractItemView>
#include <QApplication>
#include <QFocusFrame>
#include <QFontDatabase>
#include <QPainter>
#include <QPointer>
#include <QRegularExpression>
#include <QToolTip>
#include <QTranslator>

/// The resources lie in a static library, from which the linker takes only what is asked for. Outside any namespace,
/// as Qt demands.
static void loadResources() { Q_INIT_RESOURCE(bundled); }

namespace ui {
namespace {

void loadFonts()
{
    for (const char* weight : {"Regular", "Semibold", "Bold"}) {
        const QString file = QStringLiteral(":/fonts/OpenSans-%1.ttf").arg(QLatin1String(weight));
        if (QFontDatabase::addApplicationFont(file) < 0)
            throw core::Error(core::ErrorKind::NotFound,
                              "The program's own font " + file.toStdString() + " can't be loaded.");
    }
}

QPalette paletteOf(const Tokens& t)
{
    QPalette p;
    const auto all = [&](QPalette::ColorRole role, const QColor& on, const QColor& off) {
        p.setColor(QPalette::Active, role, on);
        p.setColor(QPalette::Inactive, role, on);
        p.setColor(QPalette::Disabled, role, off);
    };
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText, QPalette::HighlightedText,
                            QPalette::ToolTipText, QPalette::Link})
        all(role, t.text1, t.disabled);
    all(QPalette::LinkVisited, t.text2, t.disabled);     // Tone::Secondary
    all(QPalette::PlaceholderText, t.text3, t.disabled); // Tone::Tertiary
    all(QPalette::BrightText, t.attention, t.disabled);  // Tone::Attention
    all(QPalette::Window, t.panel, t.panel);
    all(QPalette::Base, t.field, t.panel);
    all(QPalette::AlternateBase, t.panel, t.panel);
    all(QPalette::Button, t.raised, t.panel);
    all(QPalette::ToolTipBase, t.raised, t.raised);
    all(QPalette::Highlight, t.selected, t.selected);
    for (const auto role : {QPalette::Light, QPalette::Midlight, QPalette::Mid, QPalette::Dark})
        all(role, t.hairline, t.hairline);
    all(QPalette::Shadow, t.gutter, t.gutter);
    return p;
}

void setPalettes()
{
    const Tokens& t = tokens();
    const QPalette palette = paletteOf(t);
    QApplication::setPalette(palette);
    QToolTip::setPalette(palette);
    QPalette edits = palette; // selected letters need more than a selected row does
    edits.setColor(QPalette::Highlight, t.text2);
    edits.setColor(QPalette::HighlightedText, t.field);
    for (const char* edit : {"QLineEdit", "QPlainTextEdit", "QTextEdit"})
        QApplication::setPalette(edits, edit);
    QPalette lists = palette; // lists, tables and menus lie on their panel
    lists.setColor(QPalette::Base, t.panel);
    QApplication::setPalette(lists, "QAbstractItemView");
    QApplication::setPalette(lists, "QMenu");
}

/// Texts that count carry both their English forms, "%n trial(s)", "%n entr(y|ies)": this chooses one. A catalogue of
/// another language is asked before it. Commands without a window count, too.
class EnglishPlurals : public QTranslator {
public:
    using QTranslator::QTranslator;
    bool isEmpty() const override { return false; }
    QString translate(const char*, const char* text, const char*, int n) const override
    {
        static const QRegularExpression forms(QStringLiteral("\\((?:([^()|]*)\\|([^()|]*)|(e?s))\\)"));
        return n < 0
                   ? QString()
                   : QString::fromUtf8(text).replace(forms, n == 1 ? QStringLiteral("\\1") : QStringLiteral("\\2\\3"));
    }
};

void countInEnglish() { QCoreApplication::installTranslator(new EnglishPlurals(QCoreApplication::instance())); }

Q_COREAPP_STARTUP_FUNCTION(countInEnglish)

/// Draws the ring around whichever control has the keyboard. Views that paint their own state are left alone.
class FocusFollower : public QObject {
public:
    explicit FocusFollower(QApplication& app) : QObject(&app)
    {
        connect(&app, &QApplication::focusChanged, this, [this](QWidget*, QWidget* now) { follow(now); });
    }

private:
    static bool wantsRing(const QWidget& widget)
    {
        if (qobject_cast<const QAbstractItemView*>(widget.parentWidget() ? widget.parentWidget()->parentWidget()
                                                                         : nullptr))
            return false; // an editor inside a cell
        for (const char* kind : {"QAbstractButton", "QComboBox", "QLineEdit", "QAbstractSpinBox", "QAbstractSlider",
                                 "QPlainTextEdit", "QTextEdit"})
            if (widget.inherits(kind))
                return true;
        return false;
    }

    void follow(QWidget* now)
    {
        QWidget* target = now;
        while (target && target->parentWidget() && target->parentWidget()->focusProxy() == target)
            target = target->parentWidget();
        if (target && target->parentWidget()
            && (target->parentWidget()->inherits("QAbstractSpinBox") || target->parentWidget()->inherits("QComboBox")))
            target = target->parentWidget(); // the edit in it has the keyboard, the ring goes around all of it
        if (!target || target->isWindow() || !wantsRing(*target)) {
            delete m_frame;
            return;
        }
        if (!m_frame)
            m_frame = new QFocusFrame; // becomes a child of the target's window
        m_frame->setWidget(target);
    }

    QPointer<QFocusFrame> m_frame;
};

} // namespace

void applyLook(QApplication& app)
{
    loadResources();
    loadFonts();
    QApplication::setStyle(new LookStyle);
    setPalettes();
    QApplication::setFont(font(Text::Body));
    QApplication::setFont(font(Text::State), "QHeaderView");
    QApplication::setFont(font(Text::State), "QTipLabel");
    QApplication::setWindowIcon(programIcon());
    new FocusFollower(app);
}

void setTheme(Theme which)
{
    useTokens(which);
    setPalettes();
}

QIcon programIcon() { return QIcon(QStringLiteral(":/icons/tallyframe.svg")); }

void makeCompact(QWidget& control)
{
    control.setProperty("compact", true);
    QEvent event(QEvent::StyleChange); // controls remember their size until the style changes
    QApplication::sendEvent(&control, &event);
}

void paintFocusInside(QPainter& painter, const QRectF& rect)
{
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false);
    painter.setPen(QPen(tokens().focus, 2, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(rect.adjusted(1, 1, -1, -1));
    painter.restore();
}

} // namespace ui
