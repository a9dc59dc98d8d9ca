#pragma once
#include <QColor>
#include <QFont>

namespace ui {

enum class Theme { Dark, Light };

/// Colours of the surfaces and of the evidence. The chrome has none: colour belongs to evidence.
struct Tokens {
    QColor gutter, panel, raised, field; ///< between panels; panels; buttons; inputs and plots
    QColor selected, hover, hairline;
    QColor surround, viewRing;  ///< around footage; edge of the view that has the keyboard
    QColor text1, text2, text3; ///< text3 only on panel, gutter and field, never on `selected`
    QColor fieldEdge, disabled;
    QColor press, response;      ///< always with their shape and word
    QColor attention;            ///< warning, doubt, dispute: with diamond or shape, and word
    QColor primary, primaryText; ///< the one primary button
    QColor focus;
};

void useTokens(Theme);  ///< for setTheme() in look.h, which also repaints
const Tokens& tokens(); ///< of the theme in use; ask when painting, don't keep
const Tokens& tokens(Theme);
/// What is drawn on footage, whatever the theme: the dark pair, cased 1 px black, labels on `onFootageLabel`.
const Tokens& footageTokens();
extern const QColor onFootageLabel;

/// Sizes in pixels.
enum class Text { Caption = 11, State = 12, Body = 13, Emphasis = 15, Heading = 20, Figure = 27 };
/// Open Sans, tabular figures. Bundled weights: Normal, DemiBold, Bold.
QFont font(Text size, QFont::Weight weight = QFont::Normal);

namespace grid {
inline constexpr int unit = 4;
inline constexpr int row = 24;
inline constexpr int control = 28;
inline constexpr int compactControl = 24;
inline constexpr int panelHeader = 28;
inline constexpr int padding = 12;
inline constexpr int radius = 3;
inline constexpr int selectionBar = 3;
} // namespace grid

/// U+2212 in place of a hyphen before a negative number.
QString withMinus(QString number);

} // namespace ui
