#include "ui/look/tokens.h"

#include <QString>

namespace ui {
namespace {

constexpr QColor hex(QRgb rgb) { return QColor((rgb >> 16) & 0xff, (rgb >> 8) & 0xff, rgb & 0xff); }

const Tokens dark = {
    .gutter = hex(0x1b1b1b),
    .panel = hex(0x282828),
    .raised = hex(0x363636),
    .field = hex(0x1f1f1f),
    .selected = hex(0x3f3f3f),
    .hover = hex(0x303030),
    .hairline = hex(0x3e3e3e),
    .surround = hex(0x2e2e2e),
    .viewRing = hex(0x9a9a9a),
    .text1 = hex(0xf0f0f0),
    .text2 = hex(0xbdbdbd),
    .text3 = hex(0x9a9a9a),
    .fieldEdge = hex(0x7c7c7c),
    .disabled = hex(0x757575),
    .press = hex(0xe69f00),
    .response = hex(0x56b4e9),
    .attention = hex(0xe394c0),
    .primary = hex(0xe8e8e8),
    .primaryText = hex(0x161616),
    .focus = hex(0xffffff),
};

const Tokens light = {
    .gutter = hex(0xc9c9c9),
    .panel = hex(0xededed),
    .raised = hex(0xfafafa),
    .field = hex(0xffffff),
    .selected = hex(0xd8d8d8),
    .hover = hex(0xe2e2e2),
    .hairline = hex(0xcccccc),
    .surround = hex(0x4a4a4a),
    .viewRing = hex(0xc4c4c4),
    .text1 = hex(0x161616),
    .text2 = hex(0x454545),
    .text3 = hex(0x5e5e5e),
    .fieldEdge = hex(0x767676),
    .disabled = hex(0x8a8a8a),
    .press = hex(0x8a5200),
    .response = hex(0x00639c),
    .attention = hex(0x9b2f6e),
    .primary = hex(0x262626),
    .primaryText = hex(0xffffff),
    .focus = hex(0x000000),
};

Theme current = Theme::Dark; // the window's thread only

} // namespace

const QColor onFootageLabel = hex(0x161616);

const Tokens& tokens() { return tokens(current); }

const Tokens& tokens(Theme which) { return which == Theme::Dark ? dark : light; }

const Tokens& footageTokens() { return dark; }

void useTokens(Theme which) { current = which; }

QFont font(Text size, QFont::Weight weight)
{
    QFont result(QStringList{QStringLiteral("Open Sans"), QStringLiteral("Noto Sans")});
    result.setPixelSize(static_cast<int>(size));
    result.setWeight(weight);
    return result;
}

QString withMinus(QString number)
{
    if (number.startsWith(QLatin1Char('-')))
        number[0] = QChar(0x2212);
    return number;
}

} // namespace ui
