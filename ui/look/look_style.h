#pragma once // part of applyLook(); nobody else needs it
#include <QProxyStyle>

namespace ui {

/// How Qt's own controls look: Fusion for what is measured, painted flat with the tokens.
class LookStyle : public QProxyStyle {
public:
    LookStyle();

    using QProxyStyle::polish;
    void polish(QWidget*) override;
    int pixelMetric(PixelMetric, const QStyleOption*, const QWidget*) const override;
    int styleHint(StyleHint, const QStyleOption*, const QWidget*, QStyleHintReturn*) const override;
    QSize sizeFromContents(ContentsType, const QStyleOption*, const QSize&, const QWidget*) const override;
    QRect subControlRect(ComplexControl, const QStyleOptionComplex*, SubControl, const QWidget*) const override;
    QRect subElementRect(SubElement, const QStyleOption*, const QWidget*) const override;
    void drawPrimitive(PrimitiveElement, const QStyleOption*, QPainter*, const QWidget*) const override;
    void drawControl(ControlElement, const QStyleOption*, QPainter*, const QWidget*) const override;
    void drawComplexControl(ComplexControl, const QStyleOptionComplex*, QPainter*, const QWidget*) const override;
};

} // namespace ui
