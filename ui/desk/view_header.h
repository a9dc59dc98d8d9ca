#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"

class QAction;
class QPushButton;

namespace ui {

class ChoiceBox;
class FrameView;
class Label;

/// Above the frame: its number, how far it is from the press mark, gain, gamma, zoom, and the regions.
class ViewHeader : public QWidget {
    Q_OBJECT
public:
    ViewHeader(DeskState& state, FrameView& view, QWidget* parent = nullptr);
    static QVector<double> gainSteps();
    static QVector<double> gammaSteps();
    static QVector<double> changeGainSteps();
    void setShowActions(const QList<QAction*>& actions); ///< what the frame can show beside the picture
    void stepGain(int steps);  ///< brighter or darker; of what is compared, stronger or weaker
    void stepGamma(int steps); ///< dark parts lifted more or less

signals:
    void brightnessChanged(); ///< gain or gamma of the frame; set already
    void regionAsked(session::RegionKind kind);

protected:
    void resizeEvent(QResizeEvent*) override;

private:
    void refresh();
    void refreshZoom();
    void refreshBrightness();
    QVector<double> gains() const;
    double gain() const;
    void setGainStep(qsizetype step);
    void setGammaStep(qsizetype step);

    DeskState& m_state;
    FrameView& m_view;
    Label *m_caption, *m_number, *m_of, *m_distance;
    QWidget *m_inView, *m_fromPress;
    ChoiceBox *m_gain, *m_gamma, *m_zoom;
    QPushButton *m_show, *m_lamp, *m_screen, *m_regions;
};

} // namespace ui
