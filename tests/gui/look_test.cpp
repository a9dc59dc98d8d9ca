#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/look.h"
#include "ui/look/panel.h"
#include <QApplication>
#include <QFontDatabase>
#include <QFontInfo>
#include <QFontMetrics>
#include <QHelpEvent>
#include <QPainter>
#include <QPushButton>
#include <QToolTip>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using namespace ui;

namespace {

/// Relative luminance and contrast ratio as in W3C, Web Content Accessibility Guidelines 2.1, "Definitions".
double luminance(const QColor& c)
{
    const auto linear = [](double v) { return v <= 0.03928 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
    return 0.2126 * linear(c.redF()) + 0.7152 * linear(c.greenF()) + 0.0722 * linear(c.blueF());
}

double contrast(const QColor& a, const QColor& b)
{
    const double first = luminance(a) + 0.05, second = luminance(b) + 0.05;
    return std::max(first / second, second / first);
}

class ThemeAfter {
public:
    ~ThemeAfter() { setTheme(Theme::Dark); }
};

} // namespace

TEST_CASE("text and evidence colours stand out from everything they are put on", "[look]")
{
    const Theme which = GENERATE(Theme::Dark, Theme::Light);
    const Tokens& t = tokens(which);
    // WCAG 2.1, 1.4.3: text needs 4.5 to 1; 1.4.11: what a control is known by needs 3 to 1.
    for (const QColor& ground : {t.panel, t.gutter, t.field, t.selected, t.hover, t.raised}) {
        CHECK(contrast(t.text1, ground) >= 4.5);
        CHECK(contrast(t.text2, ground) >= 4.5);
    }
    for (const QColor& text : {t.text3, t.press, t.response, t.attention})
        CHECK(contrast(text, t.panel) >= 4.5);
    for (const QColor& text : {t.press, t.response, t.attention})
        CHECK(contrast(text, t.selected) >= 4.5 - 0.05);
    CHECK(contrast(t.primaryText, t.primary) >= 4.5);
    CHECK(contrast(t.fieldEdge, t.panel) >= 3);
    CHECK(contrast(t.focus, t.panel) >= 3);
    CHECK(contrast(t.viewRing, t.surround) >= 3);
    CHECK(contrast(footageTokens().press, onFootageLabel) >= 4.5);
    CHECK(contrast(footageTokens().response, onFootageLabel) >= 4.5);
}

TEST_CASE("a name is shown as it was typed, in tool tips, labels and menus", "[look]")
{
    const QString name = QStringLiteral("<b>cable</b> & <img src=x>");
    Label label(name);
    CHECK(label.textFormat() == Qt::PlainText);
    QPushButton button(menuText(name));
    CHECK(button.text() == QStringLiteral("<b>cable</b> && <img src=x>"));

    button.setToolTip(name);
    button.show();
    QHelpEvent help(QEvent::ToolTip, {2, 2}, button.mapToGlobal(QPoint(2, 2)));
    QApplication::sendEvent(&button, &help);
    REQUIRE(QToolTip::isVisible());
    const auto widgets = QApplication::topLevelWidgets();
    const auto tip = std::ranges::find_if(widgets, [](QWidget* widget) { return widget->inherits("QTipLabel"); });
    REQUIRE(tip != widgets.end());
    const auto* shown = qobject_cast<QLabel*>(*tip);
    CHECK(shown->text() == name);
    CHECK(shown->textFormat() == Qt::PlainText);
    QToolTip::hideText();
}

TEST_CASE("the chrome has no colour, so that colour means evidence", "[look]")
{
    const Tokens& t = tokens(GENERATE(Theme::Dark, Theme::Light));
    for (const QColor& c :
         {t.gutter, t.panel, t.raised, t.field, t.selected, t.hover, t.hairline, t.surround, t.viewRing, t.text1,
          t.text2, t.text3, t.fieldEdge, t.disabled, t.primary, t.primaryText, t.focus})
        CHECK(c.hsvSaturation() == 0);
}

TEST_CASE("the bundled fonts are used, in three weights, with figures of one width", "[look]")
{
    const auto weight = GENERATE(QFont::Normal, QFont::DemiBold, QFont::Bold);
    const QFont used = ui::font(Text::Body, weight);
    CHECK(QFontInfo(used).family().startsWith(QStringLiteral("Open Sans")));
    CHECK(QFontInfo(used).pixelSize() == 13);
    const QFontMetrics metrics(used);
    for (QChar digit = u'1'; digit <= u'9'; digit = QChar(digit.unicode() + 1))
        CHECK(metrics.horizontalAdvance(digit) == metrics.horizontalAdvance(u'0'));
}

TEST_CASE("a change of theme reaches widgets that are there already", "[look]")
{
    const ThemeAfter after;
    Label label(QStringLiteral("settled"), Text::Body, Tone::Secondary);
    label.show();
    setTheme(Theme::Light);
    QApplication::processEvents();
    CHECK(&tokens() == &tokens(Theme::Light));
    CHECK(label.palette().color(label.foregroundRole()) == tokens(Theme::Light).text2);
    setTheme(Theme::Dark);
    QApplication::processEvents();
    CHECK(label.palette().color(label.foregroundRole()) == tokens(Theme::Dark).text2);
}

TEST_CASE("controls take the grid's heights", "[look]")
{
    QPushButton plain(QStringLiteral("Lamp region"));
    CHECK(plain.sizeHint().height() == grid::control);
    makeCompact(plain);
    CHECK(plain.sizeHint().height() == grid::compactControl);
    const KeyButton keyed(QStringLiteral("Doubt"), {QStringLiteral("D")});
    CHECK(keyed.sizeHint().height() == grid::control);
    CHECK(keyed.sizeHint().width() > QPushButton(QStringLiteral("Doubt")).sizeHint().width());
}

TEST_CASE("a long text is shortened to its room, a short one isn't", "[look]")
{
    Label label(QStringLiteral("Wireless bridge over two hubs, 144 Hz, variable refresh"));
    CHECK(label.minimumSizeHint().width() == label.sizeHint().width());
    label.setElided(Qt::ElideRight);
    CHECK(label.minimumSizeHint().width() < label.sizeHint().width() / 4);
}

TEST_CASE("every shape is painted inside its box, on whole pixels", "[look]")
{
    for (int i = 0; i <= int(Shape::Chevron); ++i) {
        const Shape shape = Shape(i);
        const QSize size = shapeSize(shape);
        QImage image(size + QSize(8, 8), QImage::Format_ARGB32_Premultiplied);
        image.fill(Qt::transparent);
        {
            QPainter painter(&image);
            paintShape(painter, shape, QRectF(QPointF(4, 4), QSizeF(size)));
        }
        int inside = 0, outside = 0;
        for (int y = 0; y < image.height(); ++y)
            for (int x = 0; x < image.width(); ++x)
                if (qAlpha(image.pixel(x, y)) > 0)
                    ++(QRect(QPoint(4, 4), size).contains(x, y) ? inside : outside);
        INFO("shape " << i);
        CHECK(inside > 0);
        CHECK(outside == 0);
    }
}

TEST_CASE("progress strokes fit their box whatever the plan holds", "[look]")
{
    const int strokes = GENERATE(1, 5, 24, 60, 144, 2000);
    QImage image(140, 16, QImage::Format_ARGB32_Premultiplied);
    image.fill(Qt::transparent);
    {
        QPainter painter(&image);
        paintProgress(painter, QRectF(4, 0, 128, 16), QVector<Stroke>(strokes, Stroke::Read));
    }
    bool any = false;
    for (int y = 0; y < image.height(); ++y)
        for (int x = 0; x < image.width(); ++x) {
            const bool painted = qAlpha(image.pixel(x, y)) > 0;
            any = any || painted;
            if (x < 4 || x >= 132)
                CHECK_FALSE(painted);
        }
    CHECK(any);
}

TEST_CASE("an interval that runs out of the axis is cut off at its edge", "[look]")
{
    QImage image(140, 16, QImage::Format_ARGB32_Premultiplied);
    image.fill(Qt::transparent);
    {
        QPainter painter(&image);
        paintVerdict(painter, QRectF(10, 0, 120, 16), {-50, 2, 1, -6, 6, -24});
    }
    for (int y = 0; y < image.height(); ++y) {
        CHECK(qAlpha(image.pixel(4, y)) == 0);
        CHECK(qAlpha(image.pixel(135, y)) == 0);
    }
    CHECK(qAlpha(image.pixel(40, 8)) > 0);
}

TEST_CASE("negative numbers get a minus sign, not a hyphen", "[look]")
{
    CHECK(withMinus(QStringLiteral("-0.3")) == QString(QChar(0x2212)) + QStringLiteral("0.3"));
    CHECK(withMinus(QStringLiteral("12-3")) == QStringLiteral("12-3"));
}
